import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { Choice } from '../keys/choice.tsx';
import { Count } from '../keys/count.tsx';
import { TextField } from '../keys/text-field.tsx';
import { timeText } from '../standing.ts';
import type { FormProps } from './form.ts';

type Material = Facts['collarPlaced']['material'];

const materials = [
  { value: 'concrete', word: 'Concrete' },
  { value: 'asphalt', word: 'Asphalt' },
] as const;
/** Where a crew's own mix says otherwise, its hours count. Common practice, no source. */
const usualHours: Record<Material, number> = { concrete: 24, asphalt: 2 };

/** The collar, when it was poured, and from when it bears traffic. */
export function CollarForm({ save }: FormProps) {
  const [material, setMaterial] = useState<Material | null>(null);
  const [mix, setMix] = useState('');
  const [ago, setAgo] = useState(0);
  const [hours, setHours] = useState(24);
  const pouredAt = new Date(Date.now() - ago * 60_000);
  const release = new Date(pouredAt.getTime() + hours * 3_600_000).toISOString();
  return (
    <>
      <Choice
        label="Collar of"
        value={material}
        options={materials}
        onChoose={(one) => {
          setMaterial(one);
          setHours(usualHours[one]);
        }}
      />
      <TextField label="Mix, or ticket number" value={mix} most={100} onText={setMix} />
      <Count label="Poured, minutes ago" value={ago} step={15} most={720} unit="min" onChange={setAgo} />
      <Count label="Cure before traffic" value={hours} least={1} most={168} unit="h" onChange={setHours} />
      <p>
        <b>Traffic not before {timeText(release)}.</b> The mix design and the engineer say how long; this is a
        count.
      </p>
      <button
        type="button"
        class="big main"
        disabled={material === null}
        onClick={() =>
          save('collarPlaced', {
            material: material!,
            mix: mix.trim(),
            pouredAt: pouredAt.toISOString(),
            cureHours: hours,
          })
        }
      >
        Record the collar
      </button>
    </>
  );
}
