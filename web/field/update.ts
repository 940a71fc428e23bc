import { signal } from '@preact/signals';

/** A newer page that waits until somebody takes it. */
export const newer = signal<ServiceWorker | null>(null);

/** Keeps the page's files on the phone; a browser without that, or a build under work, does without. */
export function keepPage(): void {
  if (!('serviceWorker' in navigator) || import.meta.env.DEV) return;
  navigator.serviceWorker
    .register('/crew-worker.js', { scope: '/crew' })
    .then((registration) => {
      const look = (worker: ServiceWorker | null) => {
        if (worker && navigator.serviceWorker.controller) newer.value = worker;
      };
      look(registration.waiting);
      registration.addEventListener('updatefound', () => {
        const { installing } = registration;
        installing?.addEventListener('statechange', () => {
          if (installing.state === 'installed') look(installing);
        });
      });
    })
    .catch((error: unknown) => console.warn('The page cannot be kept on this phone', error));
}

/** What is recorded is on the disk already: the page may be loaded anew. */
export function takeNewer(): void {
  navigator.serviceWorker.addEventListener('controllerchange', () => location.reload(), { once: true });
  newer.peek()?.postMessage('take over');
}
