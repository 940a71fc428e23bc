import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { fromMetres, toMetres } from '#core/units/length.ts';
import { Choice } from '../keys/choice.tsx';
import { OneSize } from '../keys/one-size.tsx';
import { edgePlaces, lineFrom, type ReadingTexts } from './edge-places.ts';
import { EdgeReadings } from './edge-readings.tsx';
import { type FormProps, metresOf, wayOf } from './form.ts';
import { EdgeVerdict } from './verdicts.tsx';

const answers = [
  { value: 'yes', word: 'Along and across' },
  { value: 'no', word: 'Along only' },
] as const;

const kinds = [
  { value: 'largest', word: 'Largest gap' },
  { value: 'places', word: 'Gap at places' },
] as const;

/** Straightedges that crews have, metres. */
const usualLengths = { in: [10, 12, 16].map((feet) => toMetres(feet, 'ft')), mm: [3, 4] };

const lengthWord = (metres: number, unit: 'in' | 'mm') =>
  unit === 'mm' ? `${Number(metres.toFixed(2))} m` : `${Number(fromMetres(metres, 'ft').toFixed(1))} ft`;

const noTexts = { alongGap: '', alongProud: '', acrossGap: '', acrossProud: '' };

/** The straightedge over cover and mat: the largest gap and step, or the gap at places along it. */
export function EdgeForm({ hole, save }: FormProps) {
  const { units, card } = hole;
  const way = wayOf(units);
  const lengths = [hole.accepted.edgeLength, ...usualLengths[units.smallUnit]]
    .filter((one, at, all) => all.findIndex((other) => Math.abs(other - one) < 0.01) === at)
    .slice(0, 3)
    .map((one) => ({ value: String(one), word: lengthWord(one, units.smallUnit) }));
  const [length, setLength] = useState(lengths[0].value);
  const [isAcross, setAcross] = useState<'yes' | 'no'>('yes');
  const [kind, setKind] = useState<(typeof kinds)[number]['value']>('largest');
  const [texts, setTexts] = useState(noTexts);
  const [read, setRead] = useState<{ along: ReadingTexts; across: ReadingTexts }>({ along: {}, across: {} });
  const lengthM = Number(length);
  const rimRadiusM = card.structure.rimDiameterM / 2;
  const places = edgePlaces(lengthM, rimRadiusM);
  const set = (name: keyof typeof texts) => (text: string) => setTexts({ ...texts, [name]: text });
  const size = (name: keyof typeof texts) => metresOf(texts[name], way);
  const plain = (gapM: number | null, proudM: number | null) =>
    gapM === null || proudM === null || gapM < 0 || proudM < 0 ? null : { gapM, proudM };
  const line = (one: 'along' | 'across') =>
    kind === 'places'
      ? lineFrom(places, read[one], { lengthM, units })
      : plain(size(`${one}Gap`), size(`${one}Proud`));
  const along = line('along');
  const across = isAcross === 'yes' ? line('across') : null;
  const isReady = along !== null && (isAcross === 'no' || across !== null);
  const facts: Facts['straightedge'] | null = isReady ? { lengthM, along, across } : null;
  const one = (label: string, name: keyof typeof texts) => (
    <OneSize label={label} text={texts[name]} way={way} units={units} onText={set(name)} />
  );
  const readings = (word: 'Along' | 'Across', name: 'along' | 'across') => (
    <EdgeReadings
      {...{ word, lengthM, rimRadiusM, units }}
      texts={read[name]}
      onTexts={(next) => setRead({ ...read, [name]: next })}
    />
  );
  return (
    <>
      <Choice label="Straightedge" value={length} options={lengths} onChoose={setLength} />
      <Choice label="Laid" value={isAcross} options={answers} onChoose={setAcross} />
      {places.length > 0 && <Choice label="What is read" value={kind} options={kinds} onChoose={setKind} />}
      {kind === 'places' ? (
        <>
          <p>Middle of the edge over the cover. Type 0 where it rests; leave out what you did not read.</p>
          {readings('Along', 'along')}
          {isAcross === 'yes' && readings('Across', 'across')}
        </>
      ) : (
        <>
          {one('Along: largest gap under it', 'alongGap')}
          {one('Along: cover proud of the mat', 'alongProud')}
          {isAcross === 'yes' && one('Across: largest gap under it', 'acrossGap')}
          {isAcross === 'yes' && one('Across: cover proud of the mat', 'acrossProud')}
        </>
      )}
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
