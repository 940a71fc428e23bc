import type { LimitSource, Limits } from '#shared/policy.ts';
import type { Project } from '#shared/project.ts';
import { readSize, sizeText, type Typed } from '../../grade/lengths.ts';
import {
  readRoll,
  readShare,
  readSplices,
  readVolume,
  rollText,
  rollUnitOf,
  shareText,
  volumeText,
  volumeUnitOf,
} from '../../grade/sealing.ts';
import { nominal, type Units, unitsOf } from '../../units.ts';
import { sourceWords } from './limit-words.ts';
import { Setting, type SettingOf } from './setting.tsx';

/** The vacuum test's rope, which plans count, and the sizes by which sealant is counted. */
export function Sealing({ project }: { project: Project }) {
  const units = unitsOf(project);
  return (
    <section class="limits figures" aria-label="Sealing">
      <h2>Sealing</h2>
      <p class="quiet">
        Where a vacuum test is asked for, plans count its thick rope on the seat and under the frame.
        Cartridges and rolls on phone and paper are counted by the sizes below; the product's own sheet comes
        first.
      </p>
      <dl>
        {[...ropeSettings(project.limits, units), ...sizeSettings(project.limits, units)].map((of) => (
          <Setting key={of.name} project={project} of={of} />
        ))}
      </dl>
    </section>
  );
}

/** `12 ft, the agency's`; what nobody set belongs to nobody. */
const shown = <Value,>(
  { value, from }: { value: Value; from: LimitSource },
  say: (value: NonNullable<Value>) => string,
) => (value == null ? 'not set' : `${say(value as NonNullable<Value>)}, ${sourceWords[from]}`);

function ropeSettings(limits: Limits, units: Units): SettingOf[] {
  const { vacuumTest } = limits;
  const test = { none: 'not asked for', all: 'of every structure' };
  return [
    {
      ...{ name: 'vacuumTest', word: 'Vacuum test', called: 'the vacuum test', field: 'Asked for' },
      ...{ from: vacuumTest.from, typed: vacuumTest.value, shown: shown(vacuumTest, (value) => test[value]) },
      choices: (['none', 'all'] as const).map((value) => ({ value, word: test[value] })),
      read: (text) => ({ value: text }),
    },
    sizeOf(limits, units, {
      ...{ name: 'thickRopeM', word: 'Its thick rope, pressed', called: 'the thick rope' },
      most: 0.1,
    }),
  ];
}

function sizeSettings(limits: Limits, units: Units): SettingOf[] {
  const unit = units.smallUnit;
  const { sealCartridgeMl, sealMostSplices, sealWasteShare } = limits;
  return [
    sizeOf(limits, units, { name: 'sealBeadM', word: 'Bead, across', called: 'the bead', most: 0.1 }),
    sizeOf(limits, units, {
      ...{ name: 'sealCircleM', word: 'Circle that seals run on, across', called: 'the circle' },
      most: 5,
    }),
    {
      ...{ name: 'sealCartridgeMl', word: 'In a cartridge', called: 'the cartridge' },
      ...{ from: sealCartridgeMl.from, shown: shown(sealCartridgeMl, (ml) => volumeText(ml, unit)) },
      field: `Volume, ${volumeUnitOf(unit)}`,
      typed: volumeText(sealCartridgeMl.value, unit),
      read: (text) => readVolume(text, unit),
    },
    rollOf(limits, units, { name: 'sealRollM', word: 'Roll of rope', called: 'the roll of rope' }),
    rollOf(limits, units, {
      ...{ name: 'sealThickRollM', word: 'Roll of thick rope', called: 'the roll of thick rope' },
    }),
    {
      ...{ name: 'sealMostSplices', word: 'Joins inside one rope, at most', called: 'the joins' },
      ...{ from: sealMostSplices.from, shown: shown(sealMostSplices, String) },
      ...{ field: 'Number, or any', typed: String(sealMostSplices.value), read: readSplices },
    },
    {
      ...{ name: 'sealWasteShare', word: 'On top for splice and waste', called: 'the waste' },
      ...{ from: sealWasteShare.from, shown: shown(sealWasteShare, shareText) },
      ...{ field: 'Share, %', typed: shareText(sealWasteShare.value), read: readShare },
    },
  ];
}

type Named<Name> = Pick<SettingOf, 'word' | 'called'> & { name: Name };

function sizeOf(
  limits: Limits,
  units: Units,
  { most, ...named }: Named<'thickRopeM' | 'sealBeadM' | 'sealCircleM'> & { most: number },
): SettingOf {
  const limit = limits[named.name];
  const read = (text: string): Typed<number> => {
    const size = readSize(text, units);
    if ('fault' in size || (size.value > 0 && size.value <= most)) return size;
    return { fault: `It is more than nothing and at most ${nominal(most, units)}.` };
  };
  return {
    ...named,
    ...{ from: limit.from, shown: shown(limit, (metres) => nominal(metres, units)), read },
    field: `Size, ${units.smallUnit}`,
    typed: limit.value === null ? '' : sizeText(limit.value, units),
  };
}

function rollOf(
  limits: Limits,
  { smallUnit }: Units,
  named: Named<'sealRollM' | 'sealThickRollM'>,
): SettingOf {
  const limit = limits[named.name];
  return {
    ...named,
    ...{ from: limit.from, shown: shown(limit, (metres) => rollText(metres, smallUnit)) },
    field: `Length, ${rollUnitOf(smallUnit)}`,
    typed: limit.value === null ? '' : rollText(limit.value, smallUnit),
    read: (text) => readRoll(text, smallUnit),
  };
}
