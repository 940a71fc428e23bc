import type { Question, Understanding } from '#core/intake/understanding.ts';
import type { Problem } from '#core/problem.ts';
import {
  compareRims,
  findCopiedAsBuilts,
  pairRims,
  type RegisterRim,
  type RimComparison,
  type RimShot,
  registerLimits,
} from '#core/survey/checks/againstRegister.ts';
import { plain, toProblem } from '#core/survey/checks/types.ts';
import { counted } from '#core/units/count.ts';
import { type LengthUnit, metresPer } from '#core/units/length.ts';
import { type CoverRim, listCoverRims, listRimShots, type Reach } from '../store/staging/rims.ts';
import type { Work } from './work.ts';

/** Rims kept of a file for the comparison; so many settle a datum. */
const mostRims = 50_000;
/** Odd rims named one by one; of more than these the others are counted. */
const mostNamed = 50;

/** The rims of a file in the project's grid, metres: shots on rims, or rims of a register. */
export class FileRims {
  readonly rims: RimShot[] = [];

  add(rim: RimShot): void {
    if (this.rims.length < mostRims) this.rims.push(rim);
  }

  /** The rectangle that holds them and all that may be compared with them. */
  get reach(): Reach {
    const reach = { west: Infinity, south: Infinity, east: -Infinity, north: -Infinity };
    for (const { east, north } of this.rims) {
      reach.west = Math.min(reach.west, east - registerLimits.reachByName);
      reach.east = Math.max(reach.east, east + registerLimits.reachByName);
      reach.south = Math.min(reach.south, north - registerLimits.reachByName);
      reach.north = Math.max(reach.north, north + registerLimits.reachByName);
    }
    return reach;
  }
}

/** What a comparison shows, and what has to be answered before anything is stored. */
export interface AgainstProject {
  problems: Problem[];
  questions: Question[];
}

/**
 * Holds the rims of a file against what the project knows of them: shots against the register and the plan in force, a
 * register against the shots and the plan. A datum or a unit fault is asked about, since it moves every cover alike.
 */
export async function holdAgainstProject(
  { context, record }: Pick<Work, 'context' | 'record'>,
  { kind, units }: Pick<Understanding, 'kind' | 'units'>,
  file: FileRims,
): Promise<AgainstProject> {
  if (file.rims.length === 0) return { problems: [], questions: [] };
  const db = context.database.kysely;
  const covers = await listCoverRims(db, record, file.reach);
  const isRegister = kind === 'structures';
  const compared = isRegister
    ? compareRims(file.rims.map(toRegisterRim), await listRimShots(db, record, file.reach, mostRims))
    : compareRims(registered(covers), file.rims);
  const problems = [...problemsOf(compared, file.rims, isRegister), ...copied(covers, file.rims)];
  const unit = units.vertical.unit === 'degree' ? null : units.vertical.unit;
  return { problems, questions: questionsOf(compared, { isRegister, unit }) };
}

const toRegisterRim = ({ point, east, north, elevation }: RimShot): RegisterRim => ({
  id: point,
  east,
  north,
  elevation,
});

const registered = (covers: readonly CoverRim[]): RegisterRim[] =>
  covers.flatMap(({ registered: elevation, planned: _, ...place }) =>
    elevation === null ? [] : [{ ...place, elevation }],
  );

/** The rows of the file: where the file is the register, a finding names the rows of its structures. */
function problemsOf({ findings }: RimComparison, rims: readonly RimShot[], isRegister: boolean): Problem[] {
  const rowOf = new Map(isRegister ? rims.map(({ point, row }) => [point, row]) : []);
  const odd = findings.filter(({ code }) => code === 'rimDiffers');
  const others = findings.filter(({ code }) => code !== 'rimDiffers');
  const named = [...others, ...odd.slice(0, mostNamed)].map((finding) => {
    const problem = toProblem(finding);
    const isWhole = finding.code !== 'rimDiffers';
    const row = isWhole ? null : isRegister ? (rowOf.get(finding.points[0]) ?? null) : problem.row;
    return { ...problem, row, column: isRegister ? 'rim_elevation' : problem.column };
  });
  if (odd.length <= mostNamed) return named;
  const message = `${counted(odd.length - mostNamed, 'more rim differs', 'more rims differ')} from the register by more than the others do`;
  return [...named, { code: 'rimDiffers', row: null, column: null, value: null, message }];
}

/** Rims that repeat what the plan asks for, to the millimetre. */
function copied(covers: readonly CoverRim[], rims: readonly RimShot[]): Problem[] {
  const wanted = covers.flatMap(({ planned: elevation, registered: _, ...place }) =>
    elevation === null ? [] : [{ ...place, elevation }],
  );
  const asBuilts = pairRims(wanted, rims).map(({ rim, shot }) => ({
    id: rim.id,
    planned: rim.elevation,
    built: shot.elevation,
  }));
  return findCopiedAsBuilts(asBuilts).map(toProblem);
}

/** Units that the elevations may be in instead, by the factor that they are off by. */
function otherUnits(unit: LengthUnit | null, factor: number): LengthUnit[] {
  if (unit === null) return [];
  const wanted = metresPer[unit] / factor;
  const candidates = (['m', 'ft', 'us-ft'] as const).filter((each) => each !== unit);
  return candidates.filter((each) => Math.abs(metresPer[each] / wanted - 1) < 1e-5);
}

function questionsOf(
  { findings, factor, median, spread, pairs }: RimComparison,
  { isRegister, unit }: { isRegister: boolean; unit: LengthUnit | null },
): Question[] {
  if (!findings.some(({ code }) => code === 'rimOffset' || code === 'rimUnit')) return [];
  const other = isRegister ? 'the shots on these rims' : 'the register';
  const by = `a median of ${plain(median!)} m (spread ${plain(spread!)} m)`;
  const units = factor === null ? [] : otherUnits(unit, isRegister ? 1 / factor : factor);
  return [
    {
      code: 'rimsDiffer',
      about: 'elevation',
      text: `${pairs} rims of this file differ from ${other} by ${by}, shots less register. Is that known and right?`,
      choices: [
        { id: 'keep', text: 'yes: store the elevations as they are' },
        ...units.map((id) => ({ id: `unit:${id}`, text: `no: the elevations of this file are in ${id}` })),
      ],
      likely: null,
    },
  ];
}
