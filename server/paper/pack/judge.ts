import { rimErrorFrom, worstOf } from '#core/drawing/rim.ts';
import type { Facts, RoundTheClock } from '#core/field/facts.ts';
import type { Limits } from '#shared/policy.ts';
import type { PaperUnits } from '../units.ts';
import { nominal } from '../units.ts';
import { hourWords } from '../words.ts';
import { proudLow } from './rim.ts';
import type { Judgement } from './verdict.ts';

/** How far a rim may stand out of its target and lie below it, metres. */
export interface Allowed {
  proudM: number;
  lowM: number;
}

/** 0.02 mm: what a fraction typed at the hole may differ from the limit of the same name. */
const slack = 2e-5;

/**
 * The rim as checked against its limits: at the four clocks, and where the plane through them is farthest off in between.
 * `isClock`: the four are at 12, 3, 6 and 9 o'clock, else at north, east, south and west.
 */
export function judgeRim(
  errors: RoundTheClock<number> | null,
  { proudM, lowM }: Allowed,
  { units, isClock }: { units: PaperUnits; isClock: boolean },
): Judgement {
  if (errors === null) return { meets: false, reasons: [] };
  const names = isClock
    ? ['12', '3', '6', '9'].map((hour) => `${hour} o’clock`)
    : ['north', 'east', 'south', 'west'];
  const isOff = (error: number) => error > proudM + slack || error < -lowM - slack;
  const off = errors.flatMap((error, index) =>
    isOff(error) ? [`${proudLow(error, units)} at ${names[index]}`] : [],
  );
  const limits = `${nominal(proudM, units)} proud and ${nominal(lowM, units)} low`;
  if (off.length > 0)
    return { meets: false, reasons: [`The rim is ${off.join(', ')}; allowed are ${limits}.`] };
  const worst = worstOf(rimErrorFrom(errors), 0);
  if (isOff(worst.error) && isClock) {
    const hour = hourWords(Math.round(worst.hour * 2) / 2 || 12);
    return {
      meets: false,
      reasons: [
        `Between the four clocks, at ${hour}, the plane through them is ${proudLow(worst.error, units)}; allowed are ${limits}.`,
      ],
    };
  }
  return { meets: true, reasons: [`The rim is within ${limits} all round.`] };
}

/** What a cover is accepted by. */
export interface Accepting extends Allowed {
  /** The largest gap or step under a straightedge; null where none is asked for. */
  edgeM: { along: number | null; across: number | null };
  isVacuumAsked: boolean;
}

/** How far a rim may be off, with inlets that water has to find its way into apart. */
export function acceptingOf(kind: string, limits: Limits): Accepting {
  const isDrain = limits.drainageKinds.value.includes(kind);
  return {
    proudM: (isDrain ? limits.drainageProudM : limits.acceptProudM).value,
    lowM: (isDrain ? limits.drainageLowM : limits.acceptLowM).value,
    edgeM: { along: limits.straightedgeAlongM.value, across: limits.straightedgeAcrossM.value },
    isVacuumAsked: limits.vacuumTest.value === 'all',
  };
}

/** The straightedge against its limits; what is asked for and was not done does not meet them. */
export function judgeEdge(
  facts: Facts['straightedge'] | null,
  { edgeM }: Accepting,
  units: PaperUnits,
): Judgement {
  const reasons: string[] = [];
  for (const way of ['along', 'across'] as const) {
    const most = edgeM[way];
    if (most === null) continue;
    const line = facts?.[way] ?? null;
    if (line === null) reasons.push(`The straightedge was not laid ${way} the road, and it is asked for.`);
    else if (Math.max(line.gapM, line.proudM) > most + slack) {
      const found = nominal(Math.max(line.gapM, line.proudM), units);
      reasons.push(
        `Under the straightedge ${way} the road are ${found}; allowed are ${nominal(most, units)}.`,
      );
    }
  }
  return { meets: reasons.length === 0, reasons };
}

/** The last test counts; one that was not made is no test that was passed. */
export function judgeVacuum(facts: Facts['vacuum'] | null, { isVacuumAsked }: Accepting): Judgement {
  if (facts?.outcome === 'failed') return { meets: false, reasons: ['The last vacuum test failed.'] };
  if (!isVacuumAsked || facts?.outcome === 'passed') return { meets: true, reasons: [] };
  return { meets: false, reasons: ['It was not tested by vacuum, and a passed test is asked for.'] };
}
