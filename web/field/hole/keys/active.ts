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
