import { parseArgs } from 'node:util';
import { sayProblem } from '#core/problem.ts';
import type { Objective } from '#core/stack/types.ts';
import { parseLength } from '#core/units/length.ts';
import { Refusal } from './refusal.ts';

const usage = `usage: npm run -s plan -- --structures FILE --rings FILE --crs EPSG:n (--shots FILE | --design FILE.xml)
       [--tolerance 0.25in] [--objective fewest|closest|cheapest] [--shot-sigma 2mm]`;

const text = { type: 'string' } as const;
const options = {
  structures: text,
  rings: text,
  crs: text,
  shots: text,
  design: text,
  tolerance: text,
  objective: text,
  'shot-sigma': text,
};

export interface PlanArguments {
  structures: string;
  rings: string;
  crs: string;
  /** Where the finished surface comes from. */
  surface: { kind: 'shots' | 'design'; file: string };
  /** Metres; null = the default for the catalogue's unit. */
  tolerance: number | null;
  objective: Objective;
  /** Metres; null = estimate. */
  shotSigma: number | null;
}

/** Read the command line. @throws Refusal naming the option, its value and the rule. */
export function readPlanArguments(argv: string[]): PlanArguments {
  const values = parse(argv);
  const { shots, design } = values;
  if (shots !== undefined && design !== undefined)
    throw new Refusal('--shots and --design: give one of them', usage);
  const tolerance = values.tolerance === undefined ? null : length(values.tolerance, '--tolerance');
  if (tolerance !== null && tolerance <= 0)
    throw new Refusal(`--tolerance "${values.tolerance}": must be above 0`);
  const sigma = values['shot-sigma'];
  const shotSigma = sigma === undefined ? null : isNought(sigma) ? 0 : length(sigma, '--shot-sigma');
  if (shotSigma !== null && shotSigma < 0) throw new Refusal(`--shot-sigma "${sigma}": must not be negative`);
  return {
    structures: required(values.structures, '--structures'),
    rings: required(values.rings, '--rings'),
    crs: required(values.crs, '--crs'),
    surface:
      design === undefined
        ? { kind: 'shots', file: required(shots, '--shots (or --design)') }
        : { kind: 'design', file: design },
    tolerance,
    objective: objective(values.objective ?? 'fewest'),
    shotSigma,
  };
}

function parse(argv: string[]) {
  try {
    return parseArgs({ args: argv, options }).values;
  } catch (error) {
    throw new Refusal((error as Error).message.split(/\. |\n/)[0], usage);
  }
}

function required(value: string | undefined, name: string): string {
  if (value === undefined) throw new Refusal(`${name} is missing`, usage);
  return value;
}

/** A sigma of nothing needs no unit; a blank one is not nothing. */
const isNought = (value: string): boolean => value.trim() !== '' && Number(value) === 0;

function length(value: string, option: string): number {
  const metres = parseLength(value, option);
  if (typeof metres !== 'number') throw new Refusal(sayProblem(metres));
  return metres;
}

function objective(value: string): Objective {
  if (value === 'fewest' || value === 'closest' || value === 'cheapest') return value;
  throw new Refusal(`--objective "${value}": must be fewest, closest or cheapest`);
}
