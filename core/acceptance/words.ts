import type { WordUnits } from '../decision/words.ts';
import type { RecordKind } from '../field/facts.ts';
import { stepWords } from '../field/words.ts';
import type { Reason } from '../plan/types.ts';
import { clockText } from '../units/clock.ts';
import { formatDistance, formatPercent, formatSmall, proudOrLow } from '../units/format.ts';
import { accessibleOpening } from './route.ts';

interface Tools {
  small: (key: string) => string;
  proud: (key: string) => string;
  far: (key: string) => string;
  /** To the half hour, or which way from the centre. */
  clock: () => string;
  moment: (key: string) => string;
  ratio: (key: string) => string;
  text: (key: string) => string;
  /** `1/4 in proud and 1/4 in low` */
  limits: () => string;
}

/** `isClock`: the four readings are at clocks looking up-station, else at north, east, south and west. */
export interface AcceptanceWording {
  isClock?: boolean;
  /** A moment (ISO 8601) in the zone of whoever reads it; without it UTC. */
  moment?: (iso: string) => string;
}

const compass: Record<number, string> = { 12: 'north', 3: 'east', 6: 'south', 9: 'west' };

function placeText(clock: number, isClock: boolean): string {
  const hour = Math.round(clock * 2) / 2 || 12;
  if (isClock) return clockText(hour);
  return compass[hour] ?? `${(hour % 12) * 30}° from grid north`;
}

function toolsOf(
  values: Reason['values'],
  { small: style, elevation }: WordUnits,
  { isClock = true, moment = momentText }: AcceptanceWording,
): Tools {
  const number = (key: string) => Number(values[key]);
  const small = (key: string) => formatSmall(number(key), style);
  return {
    small,
    proud: (key) => proudOrLow(number(key), style),
    far: (key) => formatDistance(number(key), elevation),
    clock: () => placeText(number('clock'), isClock),
    moment: (key) => moment(String(values[key])),
    ratio: (key) => formatPercent(number(key)),
    text: (key) => String(values[key]),
    limits: () => `${small('proud')} proud and ${small('low')} low`,
  };
}

const cureWords: Record<string, string> = { collar: 'collar', mortar: 'mortar bed' };

/** `2026-05-05 22:00 UTC` */
const momentText = (iso: string) => `${iso.slice(0, 10)} ${iso.slice(11, 16)} UTC`;

const sentences: Record<string, (t: Tools, values: Reason['values']) => string> = {
  plateOpen: (t) => `Plate ${t.text('plate')} was not reopened.`,
  conflict: (t) =>
    `Of ${stepWords[t.text('step') as RecordKind]} ${t.text('count')} records contradict each other: somebody has to say which holds.`,
  rimNotChecked: () => 'The rim was not checked since it was last worked on.',
  rimFewClocks: (t) => `The rim was shot at ${t.text('count')} clocks; its tilt shows from three on.`,
  rimUneven: (t) =>
    `The shots round the rim lie up to ${t.small('misfit')} off one plane: one is misread, or the rim is not flat.`,
  rimOff: (t) => `The rim is ${t.proud('error')} at ${t.clock()}; allowed are ${t.limits()}.`,
  rimTooWeak: (t) =>
    `The check is good to ±${t.small('allowance')}, which says nothing against ${t.limits()}: use a level or a string.`,
  rimDoubtful: (t) =>
    `The rim is ${t.proud('error')} at ${t.clock()}, within ${t.limits()}, but with its ±${t.small('allowance')} it may be past that.`,
  rimWithin: (t) => `The rim is within ${t.limits()} all round; ${t.proud('error')} at ${t.clock()}.`,
  edgeNotMeasured: (t) => `No straightedge of ${t.far('wanted')} was laid over it.`,
  edgeWayMissing: (t) => `No straightedge was laid ${t.text('way')} the road.`,
  edgeShort: (t) =>
    `The straightedge was ${t.far('length')} long; one of ${t.far('wanted')} is asked for and shows more.`,
  edgeOff: (t) =>
    `${capital(t.text('way'))} the road the straightedge shows a gap of ${t.small('gap')} and a step of ${t.small('proud')}; allowed are ${t.small('limit')}.`,
  edgeWithin: (t) =>
    `${capital(t.text('way'))} the road the straightedge shows no more than ${t.small('limit')}.`,
  edgeAfloat: (t) =>
    `${capital(t.text('way'))} the road no two places were read where the straightedge rests: its readings count as they are.`,
  routeStepMissing: () => 'The step at the rim was not measured, and an accessible route crosses it.',
  routeStepWithin: (t) =>
    `The step at the rim is ${t.small('step')}, within the rule of an accessible route.`,
  routeStepOff: (t) =>
    `The step at the rim is ${t.small('step')}; an accessible route takes ${t.small('bevelled')} at most, and past ${t.small('vertical')} with a bevel.`,
  routeNeedsBevel: (t) =>
    `The step at the rim is ${t.small('step')}; past ${t.small('vertical')} an accessible route needs a bevel no steeper than ${t.ratio('slope')}.`,
  routeBevelLow: (t) =>
    `The bevel takes up ${t.small('rise')} of a step of ${t.small('step')}: more than ${t.small('vertical')} of it stays vertical in an accessible route.`,
  routeBevelSteep: (t) =>
    `The bevel rises ${t.ratio('slope')}; an accessible route takes ${t.ratio('limit')} at most.`,
  routeSlopeMissing: () => 'The cross slope was not measured, and an accessible route crosses it.',
  routeSlopeWithin: (t) => `The cross slope is ${t.ratio('slope')}, within 1:${oneIn(t, 'limit')}.`,
  routeSlopeOff: (t) =>
    `The cross slope is ${t.ratio('slope')}; an accessible route takes 1:${oneIn(t, 'limit')} at most.`,
  routeOpeningOff: (t) => `An opening of ${t.small('opening')} lies in an accessible route.`,
  routeOpenings: () =>
    `No opening in an accessible route may pass a sphere of ${formatSmall(accessibleOpening, 'fractionInches')} (13 mm): look at pick holes and gaps.`,
  vacuumMissing: () => 'A passed vacuum test is asked for, and none was recorded.',
  vacuumFailed: () => 'The last vacuum test failed.',
  vacuumNotTested: () => 'NOT TESTED by the agency’s vacuum table, which asks for a passed test.',
  vacuumPassed: () => 'The vacuum test passed.',
  curing: (t, values) =>
    'until' in values
      ? `The ${cureWords[t.text('what')]} cures until ${t.moment('until')}.`
      : `When the ${cureWords[t.text('what')]} has cured is not known.`,
};

const oneIn = (t: Tools, key: string) => Math.round(1 / Number(t.text(key)));
const capital = (text: string) => text[0].toUpperCase() + text.slice(1);

/** One reason of a verdict as a sentence in the project's units. A code without words is a programmer's error. */
export function sayAcceptance(
  { code, values }: Reason,
  units: WordUnits,
  wording: AcceptanceWording = {},
): string {
  const say = sentences[code];
  if (!say) throw new RangeError(`no words for the reason "${code}"`);
  return say(toolsOf(values, units, wording), values);
}
