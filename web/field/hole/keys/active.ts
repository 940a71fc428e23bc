import { signal } from '@preact/signals';
import type { Way } from './entry.ts';

/** The field that the pad writes to. */
export interface ActiveField {
  input: HTMLInputElement;
  way: Way;
  /** A rim error: may be low. */
  hasSide: boolean;
  text: string;
  change: (text: string) => void;
}

/** null: the pad is away. */
export const activeField = signal<ActiveField | null>(null);

/** The field after this one, in the order of the page; null after the last. */
export function fieldAfter(input: HTMLInputElement): HTMLInputElement | null {
  const all = [...document.querySelectorAll<HTMLInputElement>('input[data-size]')];
  return all[all.indexOf(input) + 1] ?? null;
}

let isFingerDown = false;
addEventListener(
  'pointerdown',
  () => {
    isFingerDown = true;
  },
  true,
);
for (const end of ['pointerup', 'pointercancel'])
  addEventListener(
    end,
    () => {
      isFingerDown = false;
    },
    true,
  );

/**
 * Puts the pad away after a field was left, but never under a finger: the button that is being touched would move
 * from under it and the touch would be lost.
 */
export function leaveField(input: HTMLInputElement): void {
  const close = () => {
    if (activeField.peek()?.input === input && document.activeElement !== input) activeField.value = null;
  };
  const soon = () => setTimeout(close, 50);
  if (!isFingerDown) soon();
  else for (const end of ['pointerup', 'pointercancel']) addEventListener(end, soon, { once: true });
}
