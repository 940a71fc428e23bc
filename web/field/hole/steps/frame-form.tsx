import { useState } from 'preact/hooks';
import { Choice } from '../keys/choice.tsx';
import { OneSize } from '../keys/one-size.tsx';
import { type FormProps, metresOf, wayOf } from './form.ts';

const answers = [
  { value: 'yes', word: 'Centred' },
  { value: 'no', word: 'Off centre' },
] as const;

export function FrameForm({ hole, save }: FormProps) {
  const [centred, setCentred] = useState<'yes' | 'no' | null>(null);
  const [offset, setOffset] = useState('');
  const way = wayOf(hole.units);
  const offsetM = metresOf(offset, way);
  return (
    <>
      <Choice label="Frame over the opening" value={centred} options={answers} onChoose={setCentred} />
      {centred === 'no' && (
        <OneSize label="Off by" text={offset} way={way} units={hole.units} onText={setOffset} />
      )}
      <button
        type="button"
        class="big main"
        disabled={centred === null || (centred === 'no' && offsetM === null)}
        onClick={() =>
          save('frameSet', { centred: centred === 'yes', offsetM: centred === 'yes' ? null : offsetM })
        }
      >
        Record: frame set
      </button>
    </>
  );
}
