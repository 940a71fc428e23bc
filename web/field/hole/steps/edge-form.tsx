import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { fromMetres, toMetres } from '#core/units/length.ts';
import { Choice } from '../keys/choice.tsx';
import { OneSize } from '../keys/one-size.tsx';
import { type FormProps, metresOf, wayOf } from './form.ts';
import { EdgeVerdict } from './verdicts.tsx';

const answers = [
  { value: 'yes', word: 'Along and across' },
  { value: 'no', word: 'Along only' },
] as const;

/** Straightedges that crews have, metres. */
const usualLengths = { in: [10, 12, 16].map((feet) => toMetres(feet, 'ft')), mm: [3, 4] };

const lengthWord = (metres: number, unit: 'in' | 'mm') =>
  unit === 'mm' ? `${Number(metres.toFixed(2))} m` : `${Number(fromMetres(metres, 'ft').toFixed(1))} ft`;

/** The straightedge over cover and mat: the largest gap under it, and how far the cover stands out. */
export function EdgeForm({ hole, save }: FormProps) {
  const { units } = hole;
  const way = wayOf(units);
  const lengths = [hole.accepted.straightedge.length, ...usualLengths[units.smallUnit]]
    .filter((one, at, all) => all.findIndex((other) => Math.abs(other - one) < 0.01) === at)
    .slice(0, 3)
    .map((one) => ({ value: String(one), word: lengthWord(one, units.smallUnit) }));
  const [length, setLength] = useState(lengths[0].value);
  const [isAcross, setAcross] = useState<'yes' | 'no'>('yes');
  const [texts, setTexts] = useState({ alongGap: '', alongProud: '', acrossGap: '', acrossProud: '' });
  const set = (name: keyof typeof texts) => (text: string) => setTexts({ ...texts, [name]: text });
  const size = (name: keyof typeof texts) => metresOf(texts[name], way);
  const line = (gapM: number | null, proudM: number | null) =>
    gapM === null || proudM === null || gapM < 0 || proudM < 0 ? null : { gapM, proudM };
  const along = line(size('alongGap'), size('alongProud'));
  const across = isAcross === 'yes' ? line(size('acrossGap'), size('acrossProud')) : null;
  const isReady = along !== null && (isAcross === 'no' || across !== null);
  const facts: Facts['straightedge'] | null = isReady ? { lengthM: Number(length), along, across } : null;
  const one = (label: string, name: keyof typeof texts) => (
    <OneSize label={label} text={texts[name]} way={way} units={units} onText={set(name)} />
  );
  return (
    <>
      <Choice label="Straightedge" value={length} options={lengths} onChoose={setLength} />
      <Choice label="Laid" value={isAcross} options={answers} onChoose={setAcross} />
      {one('Along: largest gap under it', 'alongGap')}
      {one('Along: cover proud of the mat', 'alongProud')}
      {isAcross === 'yes' && one('Across: largest gap under it', 'acrossGap')}
      {isAcross === 'yes' && one('Across: cover proud of the mat', 'acrossProud')}
      {facts && <EdgeVerdict hole={hole} facts={facts} />}
      <button
        type="button"
        class="big main"
        disabled={facts === null}
        onClick={() => save('straightedge', facts!)}
      >
        Record the straightedge
      </button>
    </>
  );
}
