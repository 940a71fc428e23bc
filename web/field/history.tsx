import { factWords } from './fact-words.ts';
import { standing, timeText } from './hole/standing.ts';
import { recordWords } from './record-words.ts';
import type { CoverAtHole } from './types.ts';

/** All that was recorded at a cover, the latest first, with the device's time and that of receipt. */
export function History({ at: { records } }: { at: CoverAtHole }) {
  if (records.length === 0) return null;
  const held = new Set(standing(records).map(({ id }) => id));
  const isGone = ({ id, kind }: (typeof records)[number]) =>
    kind !== 'withdrawn' && kind !== 'settled' && !held.has(id);
  return (
    <details class="crew-care crew-history">
      <summary>History: {records.length}</summary>
      <ul class="crew-rows">
        {records.toReversed().map((record) => (
          <li key={record.id}>
            <b>
              {recordWords(record.kind)}
              {isGone(record) && ', no longer holds'}
            </b>
            {factWords(record) !== recordWords(record.kind) && <span>{factWords(record)}</span>}
            <span>
              {record.by}, {timeText(record.deviceTime)} by the phone;{' '}
              {'receivedAt' in record ? `received ${timeText(record.receivedAt)}` : 'not sent yet'}
            </span>
          </li>
        ))}
      </ul>
    </details>
  );
}
