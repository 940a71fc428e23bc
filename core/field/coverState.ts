import { fourClocks, judgeRim } from '../acceptance/rim.ts';
import { type Conflict, conflictsOf } from './conflicts.ts';
import { type Cure, cureOf } from './cures.ts';
import type { KeptRecord, MadeRecord, RecordKind } from './facts.ts';
import { type AnyRecord, inOrder } from './order.ts';
import type { OpenPlate } from './plates.ts';
import { type LeftOut, standingOf } from './standing.ts';
import { type Checks, type FieldStatus, type FieldWarning, type RimJudge, walk } from './walk.ts';

/** For each kind the record that holds: the last standing one. */
export type Holding = { [Kind in RecordKind]?: MadeRecord<Kind> | KeptRecord<Kind> };

/** All that the records of one cover come to. Lengths in metres, moments ISO 8601 by the devices' clocks. */
export interface CoverState {
  /** null: neither sent to a crew nor begun. */
  status: FieldStatus | null;
  /** Every record once, in order, words with them. */
  history: AnyRecord[];
  standing: AnyRecord[];
  leftOut: LeftOut[];
  holding: Holding;
  /** The last of each stage and lift, in the order in which they were first reached. */
  lifts: (MadeRecord<'liftReached'> | KeptRecord<'liftReached'>)[];
  /** Of the rim as it stands now; a check before the last work on stack or frame is not among them. */
  checks: Checks;
  conflicts: Conflict[];
  /** Over the opening now, the oldest first; normally none or one. */
  plates: OpenPlate[];
  /** Of the last mortar bed and the last collar. */
  cures: Cure[];
  /** Every test that stands, in order, also of a chimney that is no more: the one that counts is in `checks`. */
  vacuum: (MadeRecord<'vacuum'> | KeptRecord<'vacuum'>)[];
  /** When the records were made that hold. */
  dates: {
    first: string | null;
    last: string | null;
    set: string | null;
    checked: string | null;
    accepted: string | null;
  };
  warnings: FieldWarning[];
}

/** How far a rim may stand above (`proud`) and lie below (`low`) its target, metres, each at least 0. */
export interface RimLimits {
  proud: number;
  low: number;
}

/** At the four clocks and between them; a doubtful rim is not off. */
const withinAllRound =
  (limits: RimLimits): RimJudge =>
  ({ rimErrorsM, sigmaM }) =>
    judgeRim(fourClocks(rimErrorsM), limits, sigmaM)?.state !== 'off';

/**
 * The state of one cover from its records: those that the server keeps by `seq`, then the device's own unsent ones in
 * the order in which it made them. Pure, and the order of the array does not matter but for the unsent ones.
 * `sent`: the plan was sent to a crew. A plate that is not reopened is the status before all else.
 */
export function stateOfCover(
  records: readonly AnyRecord[],
  { sent, limits }: { sent: boolean; limits: RimLimits },
): CoverState {
  const history = inOrder(records);
  const { standing, leftOut, idle } = standingOf(history);
  const walked = walk(standing, withinAllRound(limits));
  const holding = holdingOf(standing);
  const cures = curesOf(standing);
  const status = walked.plates.length > 0 ? 'plated' : (walked.status ?? (sent ? 'planned' : null));
  return {
    status,
    history,
    standing,
    leftOut,
    holding,
    lifts: liftsOf(standing),
    checks: walked.checks,
    conflicts: conflictsOf(standing),
    plates: walked.plates,
    cures,
    vacuum: standing.filter((record) => record.kind === 'vacuum'),
    dates: datesOf(standing, walked.checks),
    warnings: [
      ...walked.warnings,
      ...idle.map((record) => ({ code: 'namesNothing' as const, record, values: {} })),
      ...cures
        .filter(({ releaseAt }) => releaseAt === null)
        .map(({ record }) => ({ code: 'noSuchMoment' as const, record, values: {} })),
    ],
  };
}

/** Those that are not over at `now` (ISO 8601), or of which nobody knows when they are. */
export const stillCuring = (cures: readonly Cure[], now: string): Cure[] =>
  cures.filter(({ releaseAt }) => releaseAt === null || Date.parse(releaseAt) > Date.parse(now));

const holdingOf = (standing: readonly AnyRecord[]): Holding =>
  Object.fromEntries(standing.map((record) => [record.kind, record])) as Holding;

function liftsOf(standing: readonly AnyRecord[]): CoverState['lifts'] {
  const lifts = new Map<string, CoverState['lifts'][number]>();
  for (const record of standing)
    if (record.kind === 'liftReached') lifts.set(`${record.facts.stage} ${record.facts.lift}`, record);
  return [...lifts.values()];
}

function curesOf(standing: readonly AnyRecord[]): Cure[] {
  const cures = standing.flatMap((record) => cureOf(record) ?? []);
  return (['mortar', 'collar'] as const).flatMap(
    (what) => cures.findLast((cure) => cure.what === what) ?? [],
  );
}

function datesOf(standing: readonly AnyRecord[], { rimChecked, accepted }: Checks): CoverState['dates'] {
  const at = (record: { deviceTime: string } | null | undefined) => record?.deviceTime ?? null;
  return {
    first: at(standing[0]),
    last: at(standing.at(-1)),
    set: at(standing.findLast(({ kind }) => kind === 'frameSet')),
    checked: at(rimChecked),
    accepted: accepted?.facts.accepted ? accepted.deviceTime : null,
  };
}
