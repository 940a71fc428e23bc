import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { Choice } from '../keys/choice.tsx';
import { TextField } from '../keys/text-field.tsx';
import type { FormProps } from './form.ts';
import { readTies, type TieDraft } from './tie-draft.ts';
import { Ties } from './ties.tsx';

const outcomes = [
  { value: 'found', word: 'Found' },
  { value: 'buried', word: 'Buried', note: 'located, not open' },
  { value: 'notFound', word: 'Not found' },
  { value: 'otherOwner', word: 'Another owner’s', note: 'call them first' },
] as const;

const says: Record<Facts['found']['outcome'], string> = {
  found: 'Record: found',
  buried: 'Record: buried',
  notFound: 'Record: not found. No stack here.',
  otherOwner: 'Record: another owner’s. No stack here.',
};

export function FindForm({ hole, save }: FormProps) {
  const [outcome, setOutcome] = useState<Facts['found']['outcome'] | null>(null);
  const [ties, setTies] = useState<TieDraft[]>([]);
  const [note, setNote] = useState('');
  const read = readTies(ties);
  return (
    <>
      <Choice label="What did you find?" isList value={outcome} options={outcomes} onChoose={setOutcome} />
      <Ties drafts={ties} units={hole.units} onDrafts={setTies} />
      <TextField label="Anything else" value={note} most={500} onText={setNote} />
      {read === null && <p class="fault">A tie needs what it goes to, and its length.</p>}
      <button
        type="button"
        class="big main"
        disabled={outcome === null || read === null}
        onClick={() => save('found', { outcome: outcome!, ties: read!, note: note.trim() })}
      >
        {outcome === null ? 'Choose what you found' : says[outcome]}
      </button>
    </>
  );
}
