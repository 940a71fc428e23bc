import { line } from './line.ts';
import { outbox, pictures } from './night.ts';

export const unsentWords = () => {
  const records = outbox.value.length;
  const waiting = pictures.value.filter(({ isSent }) => !isSent).length;
  if (records + waiting === 0) return 'All sent';
  return `${records + waiting} unsent, safe on this phone`;
};

const words = { signal: 'Signal', none: 'No signal', refused: 'Refused' } as const;

/** Always in view: whether there is a signal, and where the work is. */
export function TopBar({ onOpen, isOpen }: { onOpen: () => void; isOpen: boolean }) {
  const { state } = line.value;
  const isQuiet = state === 'signal';
  return (
    <button
      type="button"
      class={`crew-bar${isQuiet ? '' : ' no-signal'}`}
      aria-expanded={isOpen}
      onClick={onOpen}
    >
      <span class="crew-signal">
        <svg width="22" height="20" viewBox="0 0 22 20" aria-hidden="true">
          <path d="M3 18v-4M9 18v-8M15 18V4" stroke="currentColor" stroke-width="3.5" />
          {!isQuiet && <path d="M1 2 21 19" stroke="currentColor" stroke-width="2.5" />}
        </svg>
        {words[state]}
      </span>
      <span aria-live="polite">{unsentWords()}</span>
    </button>
  );
}
