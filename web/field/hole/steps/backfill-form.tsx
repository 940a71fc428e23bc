import { useState } from 'preact/hooks';
import { TextField } from '../keys/text-field.tsx';
import type { FormProps } from './form.ts';

const materials = ['Compacted base', 'Flowable fill', 'Concrete', 'Asphalt in lifts'] as const;

export function BackfillForm({ save }: FormProps) {
  const [material, setMaterial] = useState('');
  return (
    <>
      <TextField label="Backfilled with" value={material} most={100} often={materials} onText={setMaterial} />
      <button
        type="button"
        class="big main"
        disabled={material.trim() === ''}
        onClick={() => save('backfilled', { material: material.trim() })}
      >
        Record the backfill
      </button>
    </>
  );
}

export function NoteForm({ save }: FormProps) {
  const [text, setText] = useState('');
  return (
    <>
      <TextField label="What should be known" value={text} most={2000} onText={setText} />
      <button
        type="button"
        class="big main"
        disabled={text.trim() === ''}
        onClick={() => save('note', { text: text.trim() })}
      >
        Record the note
      </button>
    </>
  );
}
