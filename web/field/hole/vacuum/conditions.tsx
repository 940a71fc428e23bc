import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { unlikeTable } from '#core/seal/judgeVacuum.ts';
import { sayVacuum } from '#core/seal/words.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import { Choice } from '../keys/choice.tsx';
import { entryText, readEntry } from '../keys/entry.ts';
import { OneSize } from '../keys/one-size.tsx';
import { TextField } from '../keys/text-field.tsx';
import type { Hole } from '../types.ts';

/** How the test is really set up. */
export interface Setup {
  diameterM: number | null;
  depthM: number | null;
  headAt: Facts['vacuum']['headAt'];
  frameInPlace: boolean;
  gauge: string;
}

const heads = [
  { value: 'frame', word: 'Frame' },
  { value: 'topRing', word: 'Top ring' },
  { value: 'seat', word: 'Seat' },
] as const;
const frames = [
  { value: 'yes', word: 'Frame in place' },
  { value: 'no', word: 'No frame' },
] as const;

/** Deepest structure and widest barrel that are believed, metres. */
const most = { depth: 100, diameter: 10 };

interface Props {
  hole: Hole;
  table: VacuumTable;
  setup: Setup;
  onSetup: (setup: Setup) => void;
}

export function Conditions({ hole, table, setup, onSetup }: Props) {
  const { units } = hole;
  const wide = units.smallUnit === 'mm' ? 'millimetres' : 'inches';
  const deep = units.elevation === 'm' ? 'metres' : 'feet';
  const textOf = (metres: number | null, way: typeof wide | typeof deep) =>
    metres === null ? '' : entryText(metres, way);
  const [diameter, setDiameter] = useState(() => textOf(setup.diameterM, wide));
  const [depth, setDepth] = useState(() => textOf(setup.depthM, deep));
  const metres = (text: string, way: typeof wide | typeof deep, limit: number) => {
    const read = readEntry(text, way, units.smallUnit, limit);
    return read !== null && 'metres' in read ? read.metres : null;
  };
  const differs = unlikeTable(table, { ...setup, scope: table.scope });
  return (
    <section class="conditions" aria-label="How it is set up">
      <Choice
        label="Head sits on"
        value={setup.headAt}
        options={heads}
        onChoose={(headAt) => onSetup({ ...setup, headAt })}
      />
      <Choice
        label="Frame"
        hideLabel
        value={setup.frameInPlace ? 'yes' : 'no'}
        options={frames}
        onChoose={(one) => onSetup({ ...setup, frameInPlace: one === 'yes' })}
      />
      {differs.length > 0 && (
        <p class="out-of-order">
          <b>Not as the table asks.</b> {differs.map((reason) => sayVacuum(reason, table)).join(' ')} It
          cannot pass as that test.
        </p>
      )}
      <TextField
        label="Gauge number"
        value={setup.gauge}
        most={60}
        onText={(gauge) => onSetup({ ...setup, gauge })}
      />
      <OneSize
        label="Barrel, inside"
        text={diameter}
        way={wide}
        units={units}
        most={most.diameter}
        onText={(text) => {
          setDiameter(text);
          onSetup({ ...setup, diameterM: metres(text, wide, most.diameter) });
        }}
      />
      <OneSize
        label="Depth, rim to invert"
        text={depth}
        way={deep}
        units={units}
        most={most.depth}
        isFar
        onText={(text) => {
          setDepth(text);
          onSetup({ ...setup, depthM: metres(text, deep, most.depth) });
        }}
      />
    </section>
  );
}
