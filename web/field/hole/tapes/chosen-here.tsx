import { useState } from 'preact/hooks';
import type { MadeRecord } from '#core/field/facts.ts';
import { timeText } from '../standing.ts';
import { UndoSheet } from '../steps/undo-sheet.tsx';
import type { Hole } from '../types.ts';

/** The stack that was chosen here stands until it is taken back; then the plan's counts again. */
export function ChosenHere({ hole, chosen }: { hole: Hole; chosen: MadeRecord<'stackChosen'> }) {
  const [isAsking, setAsking] = useState(false);
  return (
    <section class="note" aria-label="Chosen here">
      <p>
        <b>Stack chosen here</b>, {timeText(chosen.deviceTime)}, {chosen.by}. {chosen.facts.reason}. The
        plan’s is kept.
      </p>
      {isAsking ? (
        <UndoSheet record={hole.record} id={chosen.id} onDone={() => setAsking(false)} />
      ) : (
        <button type="button" class="big" onClick={() => setAsking(true)}>
          Undo: back to the plan’s stack
        </button>
      )}
    </section>
  );
}
