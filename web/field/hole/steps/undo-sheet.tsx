import { useState } from 'preact/hooks';
import { Choice } from '../keys/choice.tsx';
import type { Recorder } from '../types.ts';

const reasons = ['Tapped by mistake', 'Wrong figure', 'Done again since', 'Wrong cover'] as const;

/** Takes one record back, with the reason; the record stays readable. */
export function UndoSheet({ record, id, onDone }: { record: Recorder; id: string; onDone: () => void }) {
  const [reason, setReason] = useState<(typeof reasons)[number] | null>(null);
  return (
    <div class="undo-sheet">
      <Choice
        isGrid
        label="Why take it back? It stays in the history."
        value={reason}
        options={reasons.map((word) => ({ value: word, word }))}
        onChoose={setReason}
      />
      <div class="row">
        <button
          type="button"
          class="big main"
          disabled={reason === null}
          onClick={() => {
            record('withdrawn', { record: id, reason: reason! });
            onDone();
          }}
        >
          Take it back
        </button>
        <button type="button" class="big" onClick={onDone}>
          Leave it
        </button>
      </div>
    </div>
  );
}
