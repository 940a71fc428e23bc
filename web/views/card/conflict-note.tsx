import { useState } from 'preact/hooks';
import type { AnyKept } from '#core/field/facts.ts';
import { stepWords } from '#core/field/words.ts';
import { sayFacts } from '../../field/say-facts.ts';
import type { Fault } from '../../state.ts';
import type { Units } from '../../units.ts';
import { FaultNote } from '../notes.tsx';
import { deskName, recordAtDesk } from './desk-record.ts';
import { NameAndReason } from './name-and-reason.tsx';

interface Props {
  records: readonly AnyKept[];
  seen: number;
  units: Units;
}

const time = new Intl.DateTimeFormat('en-GB', { weekday: 'short', hour: '2-digit', minute: '2-digit' });
const timeText = (at: string) => time.format(new Date(at)).replace(',', '');

/** Two records that cannot both be right: all stay readable, and a named person says which holds. */
export function ConflictNote({ records, seen, units }: Props) {
  const [keep, setKeep] = useState('');
  const [name, setName] = useState(deskName);
  const [reason, setReason] = useState('');
  const [fault, setFault] = useState<Fault | null>(null);
  const settle = async () => {
    const by = name.trim();
    const why = reason.trim();
    if (!keep || !by || !why)
      return setFault({ message: 'Choose the one that holds, and say who you are and why.', fields: [] });
    const over = records.flatMap(({ id }) => (id === keep ? [] : [id]));
    const { structureId } = records[0];
    const facts = { keep, over, reason: why };
    setFault(await recordAtDesk({ structureId, kind: 'settled', facts, by, seen }));
  };
  return (
    <fieldset class="conflict-note">
      <legend>Records of {stepWords[records[0].kind]} contradict each other</legend>
      {fault && <FaultNote fault={fault} />}
      {records.map((record) => (
        <label key={record.id}>
          <input
            type="radio"
            name={records[0].id}
            checked={keep === record.id}
            onChange={() => setKeep(record.id)}
          />{' '}
          <b>{sayFacts(record, units)}</b>, {record.by}, {timeText(record.deviceTime)}; received{' '}
          {timeText(record.receivedAt)}
        </label>
      ))}
      <NameAndReason name={name} reason={reason} onName={setName} onReason={setReason} />
      <button type="button" class="button" onClick={() => void settle()}>
        This one holds
      </button>
    </fieldset>
  );
}
