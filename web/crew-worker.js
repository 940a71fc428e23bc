/** Keeps the crew page's own files on the phone. The build puts the files and a sum of their contents in. */
const files = self.__FILES__;
const shelf = 'crew-__SUM__';
const page = '/crew';

self.addEventListener('install', (event) => {
  event.waitUntil(
    caches
      .open(shelf)
      .then((cache) => cache.addAll(files.map((file) => new Request(file, { cache: 'reload' })))),
  );
});

// A new version waits until the person at the phone takes it: never in the middle of work.
self.addEventListener('message', ({ data }) => {
  if (data === 'take over') self.skipWaiting();
});

self.addEventListener('activate', (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => names.filter((name) => name.startsWith('crew-') && name !== shelf))
      .then((old) => Promise.all(old.map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== location.origin || pathname.startsWith('/api/')) return;
  const kept = request.mode === 'navigate' ? page : pathname;
  if (!files.includes(kept)) return;
  event.respondWith(caches.open(shelf).then(async (cache) => (await cache.match(kept)) ?? fetch(request)));
});
