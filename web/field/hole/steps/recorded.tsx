import { useState } from 'preact/hooks';
import type { MadeRecord, RecordKind } from '#core/field/facts.ts';
import { timeText } from '../standing.ts';
import { changeTruck, readTruck, writeTruck } from '../truck.ts';
import type { Hole } from '../types.ts';
import { Cure } from './cure.tsx';
import { UndoSheet } from './undo-sheet.tsx';
import { factWords } from './words.ts';

/** One record: what, who, when, whether it is still on the phone alone, and its way back. */
export function Recorded({ hole, record }: { hole: Hole; record: MadeRecord<RecordKind> }) {
  const [isAsking, setAsking] = useState(false);
  const undo: Hole['record'] = (kind, facts) => {
    if (record.kind === 'ringsUsed') {
      const { stack } = (record as MadeRecord<'ringsUsed'>).facts;
      writeTruck(hole, changeTruck(readTruck(hole), stack, 1));
    }
    return hole.record(kind, facts);
  };
  return (
    <div class="recorded">
      <p>
        {factWords(record.kind, record.facts, hole)}
        <small>
          {record.by}, {timeText(record.deviceTime)}.{' '}
          {hole.isSent(record.id) ? 'Sent.' : 'On this phone, not sent yet.'}
        </small>
        {record.kind === 'collarPlaced' && (
          <Cure {...(record as MadeRecord<'collarPlaced'>).facts} what="Traffic" />
        )}
        {record.kind === 'mortarBed' && (
          <Cure
            pouredAt={record.deviceTime}
            cureHours={(record as MadeRecord<'mortarBed'>).facts.cureHours}
            what="Rings"
          />
        )}
      </p>
      {isAsking ? (
        <UndoSheet record={undo} id={record.id} onDone={() => setAsking(false)} />
      ) : (
        <button type="button" class="undo" onClick={() => setAsking(true)}>
          Undo
        </button>
      )}
    </div>
  );
}
