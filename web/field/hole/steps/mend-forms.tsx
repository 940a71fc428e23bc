import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { Choice, Tick } from '../keys/choice.tsx';
import { Count } from '../keys/count.tsx';
import { OneSize } from '../keys/one-size.tsx';
import { stackInForce } from '../stack/in-force.ts';
import { ringName } from '../stack/ring-words.ts';
import { type FormProps, metresOf, wayOf } from './form.ts';

const damages = [
  { value: 'Chip deeper than 1/2 in (12 mm)', word: 'Chip deeper than ½ in (12 mm)' },
  { value: 'Chip over a third of the bearing width', word: 'Chip over a third of the bearing' },
  { value: 'Seat not flat', word: 'Seat not flat' },
] as const;

/** A flat bed on a damaged seat; the seat is another one afterwards, so it is taped again. */
export function MortarForm({ hole, save }: FormProps) {
  const [why, setWhy] = useState<(typeof damages)[number]['value'] | null>(null);
  const [thickness, setThickness] = useState('');
  // Common practice, no source: the product's own sheet comes first.
  const [cureHours, setCureHours] = useState(4);
  const way = wayOf(hole.units);
  const thicknessM = metresOf(thickness, way);
  return (
    <>
      <Choice label="Why" isList value={why} options={damages} onChoose={setWhy} />
      <OneSize label="Bed, thickness" text={thickness} way={way} units={hole.units} onText={setThickness} />
      <Count label="Cure" value={cureHours} most={72} unit="h" onChange={setCureHours} />
      <p>
        <b>Rough but sound</b> (up to ½ in, 12 mm): no bed, record it as rough under “Look at the seat”.{' '}
        <b>After a bed</b> tape the seat again: it is higher now.
      </p>
      <button
        type="button"
        class="big main"
        disabled={why === null || thicknessM === null || thicknessM <= 0}
        onClick={() => save('mortarBed', { thicknessM: thicknessM!, why: why!, cureHours })}
      >
        Record the mortar bed
      </button>
    </>
  );
}

const reasons = [
  { value: 'openingTooSmall', word: 'Opening too small' },
  { value: 'offCentre', word: 'Opening off centre' },
] as const;

export function SpigotForm({ hole, save }: FormProps) {
  const stack = stackInForce(hole.card, hole.records)?.stack ?? [];
  const ids = [
    ...new Set(
      stack.length > 0 ? stack.map(({ ring }) => ring) : hole.card.ringCatalogue?.rings.map(({ id }) => id),
    ),
  ];
  const [rings, setRings] = useState<string[]>([]);
  const [why, setWhy] = useState<Facts['spigotTrimmed']['why'] | null>(null);
  return (
    <>
      <p class="note stop">
        <b>Cut the spigot only. Never the bearing face.</b>
      </p>
      <Choice label="Why" value={why} options={reasons} onChoose={setWhy} />
      <fieldset class="ticks" aria-label="Trimmed on">
        {ids.map((id) => (
          <Tick
            key={id}
            word={ringName(id, hole.card.ringCatalogue)}
            value={rings.includes(id)}
            onChange={(isOn) => setRings(isOn ? [...rings, id] : rings.filter((one) => one !== id))}
          />
        ))}
      </fieldset>
      <button
        type="button"
        class="big main"
        disabled={why === null || rings.length === 0}
        onClick={() => save('spigotTrimmed', { rings, why: why! })}
      >
        Record the trimmed spigot
      </button>
    </>
  );
}
