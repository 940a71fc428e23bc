import { useState } from 'preact/hooks';
import type { Conflict } from '#core/field/conflicts.ts';
import { coverAddress } from './address.ts';
import { factWords } from './fact-words.ts';
import { timeText } from './hole/standing.ts';
import { recordWords } from './record-words.ts';
import { record } from './records.ts';
import type { CoverAtHole } from './types.ts';

/** Records that cannot both be right: both stay, and a named person says which holds. */
export function Conflicts({ at }: { at: CoverAtHole }) {
  return (
    <>
      <nav class="crew-way" aria-label="Night">
        <a href="#/">Tonight’s list</a>
        <a href={coverAddress(at.card.structure.id)}>Cover {at.position}</a>
      </nav>
      <main class="crew-main">
        <h1>{at.card.structure.id}</h1>
        {at.conflicts.length === 0 && <p role="status">Nothing disagrees here any more.</p>}
        <div class="crew-conflicts">
          {at.conflicts.map((conflict) => (
            <One key={idsOf(conflict).join()} at={at} conflict={conflict} />
          ))}
        </div>
      </main>
    </>
  );
}

const idsOf = ({ records }: Conflict) => records.map(({ id }) => id);

function One({ at, conflict }: { at: CoverAtHole; conflict: Conflict }) {
  const [keep, setKeep] = useState('');
  const [reason, setReason] = useState('');
  const ids = idsOf(conflict);
  const settle = () => {
    const over = ids.filter((id) => id !== keep);
    void record(at.card.structure.id, 'settled', { keep, over, reason: reason.trim() });
  };
  return (
    <fieldset>
      <legend>Two phones disagree: {recordWords(conflict.kind)}</legend>
      {conflict.records.map((one) => (
        <label class="crew-pick" key={one.id}>
          <input type="radio" name={ids.join()} checked={keep === one.id} onChange={() => setKeep(one.id)} />
          <span>
            <b>{factWords(one)}</b>
            <span>
              {one.by}, {timeText(one.deviceTime)}
              {'receivedAt' in one && `, received ${timeText(one.receivedAt)}`}
            </span>
          </span>
        </label>
      ))}
      <label class="crew-field">
        Why this one
        <input
          value={reason}
          maxLength={500}
          onInput={({ currentTarget }) => setReason(currentTarget.value)}
        />
      </label>
      <button type="button" class="crew-button main" disabled={!keep || !reason.trim()} onClick={settle}>
        This one holds
      </button>
    </fieldset>
  );
}
