import { openCover, stepCover } from './selection.ts';
import { keysShown, view } from './state.ts';

export const keyWords: readonly (readonly [key: string, what: string])[] = [
  ['/', 'Search covers'],
  ['← →', 'Previous and next cover along the street'],
  ['[ ]', 'Previous and next cover, from anywhere'],
  ['F', 'To the filter bar'],
  ['G', 'Go to a street or a cover in the list'],
  ['Shift + click', 'Add a status to the filter'],
  ['Esc', 'Close the card or this list'],
  ['?', 'This list of keys'],
];

const isTyping = (target: EventTarget | null) =>
  target instanceof HTMLElement && target.matches('input, textarea, select, [contenteditable]');

/** Keys that belong to a control under the focus are left to it. */
const ownsArrows = (target: EventTarget | null) =>
  target instanceof Element && target.closest('canvas, [role="radiogroup"], dialog') !== null;

function closeOne(): void {
  if (keysShown.peek()) keysShown.value = false;
  else if (view.peek().cover !== null) openCover(null);
}

const actions: Record<string, () => void> = {
  '/': () => document.querySelector<HTMLInputElement>('#search')?.focus(),
  '[': () => stepCover(-1),
  ']': () => stepCover(1),
  g: () => document.querySelector<HTMLInputElement>('#go-to')?.focus(),
  f: () => document.querySelector<HTMLElement>('.key:not(.none)')?.focus(),
  '?': () => {
    keysShown.value = !keysShown.peek();
  },
};

/** Keys of the whole desk; returns what ends them. */
export function listenToKeys(): () => void {
  const onKey = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    if (event.key === 'Escape') {
      if (isTyping(event.target)) (event.target as HTMLElement).blur();
      else closeOne();
      return;
    }
    if (isTyping(event.target) || view.peek().page !== 'map') return;
    const isArrow = event.key === 'ArrowLeft' || event.key === 'ArrowRight';
    if (isArrow && !ownsArrows(event.target)) stepCover(event.key === 'ArrowRight' ? 1 : -1);
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    if (!Object.hasOwn(actions, key)) return;
    event.preventDefault();
    actions[key]();
  };
  addEventListener('keydown', onKey);
  return () => removeEventListener('keydown', onKey);
}
