import { timeText } from '../standing.ts';
import type { Hole } from '../types.ts';
import { stepOfKind } from './list.ts';
import { factWords } from './words.ts';

/** Records that were taken back: they stay readable, with who took them back and why. */
export function TakenBack({ hole }: { hole: Hole }) {
  const gone = hole.records.flatMap((record) => {
    if (record.kind !== 'withdrawn') return [];
    const was = hole.records.find(({ id }) => id === record.facts.record);
    return was ? [{ record, reason: record.facts.reason, was }] : [];
  });
  if (gone.length === 0) return null;
  return (
    <section class="taken-back" aria-label="Taken back">
      <h2>Taken back</h2>
      <ul>
        {gone.map(({ record, reason, was }) => (
          <li key={record.id}>
            <s>
              {was.kind === 'stackChosen' ? 'Stack chosen' : (stepOfKind(was.kind)?.word ?? 'Photo')},{' '}
              {timeText(was.deviceTime)}: {factWords(was.kind, was.facts, hole)}
            </s>
            <small>
              {reason}. {record.by}, {timeText(record.deviceTime)}
            </small>
          </li>
        ))}
      </ul>
    </section>
  );
}
