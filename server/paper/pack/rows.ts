import { shownBy } from '#core/acceptance/straightedge.ts';
import type {
  AnyKept,
  Facts,
  KeptRecord,
  RecordKind,
  RingFact,
  StraightedgeLine,
} from '#core/field/facts.ts';
import { decidingReasons, judgeTest } from '#core/seal/judgeVacuum.ts';
import { sayVacuum } from '#core/seal/words.ts';
import { counted } from '#core/units/count.ts';
import { formatDistance } from '#core/units/format.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import { latest } from '../facts.ts';
import { momentText, nominal, type PaperUnits, small } from '../units.ts';
import { ringWords, thickThin } from '../words.ts';
import type { PackRow, SaidBy } from './types.ts';

export interface RowsOf {
  /** Records that hold, in the order of `seq`. */
  held: readonly AnyKept[];
  catalogue: RingCatalogue | null;
  bearingDeg: number | null;
  offsetM: number | null;
  units: PaperUnits;
  /** Whether a vacuum test and a straightedge are asked for; null: nobody has said. */
  asked: { vacuum: boolean | null; straightedge: boolean | null };
  /** Where a test's times are printed, by the id of its table. */
  sourceOf: (tableId: string | null) => string | null;
  /** The agency's table: tests by it are judged by it. */
  vacuumTable: VacuumTable | null;
}

export const saidBy = ({ by, deviceTime, receivedAt }: SaidBy): SaidBy => ({ by, deviceTime, receivedAt });

/** What was measured and built, a row each; what is asked for and was not done stands as such. */
export function packRows(of: RowsOf): PackRow[] {
  return [
    straightedgeRow(of),
    row(
      of,
      'bevelled',
      'Bevel',
      ({ riseM, runM }) => `rises ${small(riseM, of.units)} in ${small(runM, of.units)}`,
    ),
    ...vacuumRows(of),
    row(of, 'ringsUsed', 'Rings used', ({ stack, asChosen, reason }) =>
      [`${ringsWords(stack, of)}${asChosen ? ', as chosen' : ', not as chosen'}`, reason]
        .filter(Boolean)
        .join(': '),
    ) ?? missing('Rings used', 'Not recorded'),
    row(of, 'sealed', 'Seals', ({ joints }) =>
      joints.map((joint) => sealWords(joint, of.units)).join('; '),
    ) ?? missing('Seals', 'Not recorded'),
    row(of, 'seatSeen', 'Seat', ({ surface }) =>
      surface === 'rough' ? 'rough but sound' : 'even and sound',
    ),
    row(of, 'mortarBed', 'Mortar bed', ({ thicknessM, why, cureHours }) =>
      [`${small(thicknessM, of.units)}, cured ${cureHours} h`, why].filter(Boolean).join(', '),
    ),
    row(of, 'frameSet', 'Frame', ({ centred, offsetM }) =>
      centred ? 'set, centred' : `set off centre${offsetM === null ? '' : ` by ${small(offsetM, of.units)}`}`,
    ),
    row(of, 'collarPlaced', 'Collar', ({ material, mix, cureHours, pouredAt }) =>
      [`${material}`, mix, `poured ${momentText(pouredAt, of.units)}, ${cureHours} h to cure`]
        .filter(Boolean)
        .join(', '),
    ),
  ].filter((one) => one !== null);
}

const missing = (name: string, text: string): PackRow => ({ name, text, isMissing: true, said: null });

function row<Kind extends RecordKind>(
  { held }: RowsOf,
  kind: Kind,
  name: string,
  words: (facts: Facts[Kind]) => string,
): PackRow | null {
  const record = latest(held, kind);
  return record && { name, text: words(record.facts), isMissing: false, said: saidBy(record) };
}

function straightedgeRow(of: RowsOf): PackRow | null {
  const { units } = of;
  const line = (along: StraightedgeLine, lengthM: number) => {
    const { gap, proud } = shownBy(along, lengthM);
    const read = along.readings ? `, of ${counted(along.readings.length, 'reading')}` : '';
    return `gap ${small(gap, units)}, ${proud > 0 ? `${small(proud, units)} proud` : 'nothing proud'}${read}`;
  };
  const found = row(
    of,
    'straightedge',
    'Straightedge',
    ({ lengthM, along, across }) =>
      `${formatDistance(lengthM, units.elevation)}: along ${line(along, lengthM)}; across ${across ? line(across, lengthM) : 'NOT TESTED'}`,
  );
  return found ?? missing('Straightedge', notTested(of.asked.straightedge));
}

/** What is asked for and was not done is said loudest; neither ever looks like a test that was passed. */
function notTested(isAsked: boolean | null): string {
  if (isAsked === null) return 'NOT TESTED';
  return isAsked ? 'NOT TESTED, and asked for' : 'Not tested, not asked for';
}

const outcomeWords = { passed: 'passed', failed: 'FAILED', notTested: 'NOT TESTED' };

/** Every test that holds, the retests too, the last one last. */
function vacuumRows(of: RowsOf): PackRow[] {
  const tests = of.held.filter((record): record is KeptRecord<'vacuum'> => record.kind === 'vacuum');
  if (tests.length === 0) {
    return [missing('Vacuum', notTested(of.asked.vacuum))];
  }
  return tests.map((test, index) => ({
    name: index === 0 ? 'Vacuum' : `Retest ${index}`,
    text: vacuumWords(test.facts, of),
    isMissing: judgeTest(test.facts, of.vacuumTable).outcome === 'notTested',
    said: saidBy(test),
  }));
}

function vacuumWords(facts: Facts['vacuum'], { sourceOf, vacuumTable: table }: RowsOf): string {
  const { startInHg, endInHg, seconds, requiredSeconds, gauge, scope, reason } = facts;
  const judged = judgeTest(facts, table);
  const { outcome } = judged;
  const why = table ? decidingReasons(judged).map((one) => sayVacuum(one, table)) : [];
  const source = sourceOf(facts.tableId);
  const what = scope === 'chimney' ? "chimney only, the agency's own test" : 'structure';
  const ran =
    startInHg !== null && endInHg !== null && seconds !== null
      ? `${startInHg} to ${endInHg} inHg in ${seconds} s`
      : '';
  const least = requiredSeconds === null ? 'no required time on record' : `${requiredSeconds} s required`;
  const from = source ? `table: ${source}` : 'no table named';
  const said = outcomeWords[outcome];
  return [
    `${said}, ${what}`,
    ran,
    outcome === 'notTested' ? '' : least,
    gauge && `gauge ${gauge}`,
    from,
    reason,
  ]
    .filter(Boolean)
    .join(', ')
    .concat(why.length > 0 ? `. ${why.join(' ')}` : '');
}

function ringsWords(stack: readonly RingFact[], { catalogue, bearingDeg, offsetM }: RowsOf): string {
  if (stack.length === 0) return 'none, frame on the seat';
  return stack
    .map(({ ring, azimuthDeg }, index) => {
      const sides = azimuthDeg === null ? null : thickThin(azimuthDeg, bearingDeg, offsetM);
      const turned = sides
        ? `, thick ${sides.thick}`
        : azimuthDeg === null
          ? ''
          : `, thick ${Math.round(azimuthDeg)}° from grid north`;
      return `${index + 1} ${ringWords(ring, catalogue)}${turned}`;
    })
    .join('; ');
}

function sealWords(
  { joint, form, product, sizeM, count, endsJoined }: Facts['sealed']['joints'][number],
  units: PaperUnits,
): string {
  const where = joint === 0 ? 'on the seat:' : `on ring ${joint}:`;
  const ends = endsJoined ? 'ends joined' : 'ENDS NOT JOINED';
  return `${where} ${count} × ${form} ${nominal(sizeM, units)}${product ? ` ${product}` : ''}, ${ends}`;
}
