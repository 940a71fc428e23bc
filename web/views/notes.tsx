import type { Fault } from '../state.ts';

/** What, where, what to do; whatever was entered stays. */
export function FaultNote({ fault }: { fault: Fault }) {
  return (
    <div class="fault" role="alert">
      <p>
        <b>{fault.message}</b>
      </p>
      {fault.fields.length > 0 && (
        <ul>
          {fault.fields.map((field) => (
            <li key={field}>{field}</li>
          ))}
        </ul>
      )}
    </div>
  );
}

interface EmptyProps {
  sentence: string;
  action?: { word: string; run: () => void };
}

/** One drawing, one sentence, one button. */
export function Empty({ sentence, action }: EmptyProps) {
  return (
    <div class="empty">
      <svg width="220" height="96" viewBox="0 0 220 96" aria-hidden="true">
        <path d="M6 30 214 18" stroke="var(--grade)" stroke-width="2.5" />
        <path d="M70 62h80M70 76h80" stroke="var(--line2)" stroke-dasharray="4 4" />
        <path d="M78 38h64v8h-8l4 16H82l4-16h-8z" fill="none" stroke="var(--ink)" stroke-width="1.6" />
        <path d="M70 62h18l-4 30H62zM132 62h18l8 30h-22z" fill="var(--street)" stroke="var(--ink)" />
      </svg>
      <p>{sentence}</p>
      {action && (
        <button type="button" class="button main" onClick={action.run}>
          {action.word}
        </button>
      )}
    </div>
  );
}
