import type { Reason } from '../plan/types.ts';
import {
  type ElevationUnit,
  fixed,
  formatDistance,
  formatPercent,
  formatSmall,
  proudOrLow,
  type SmallLengthStyle,
} from '../units/format.ts';

/** The units that people of a project read. */
export interface WordUnits {
  small: SmallLengthStyle;
  elevation: ElevationUnit;
}

type Say = (values: Reason['values'], tools: Tools) => string;

interface Tools {
  /** A small length: ring sizes, rim errors. */
  small: (key: string) => string;
  /** A distance on the ground. */
  far: (key: string) => string;
  proud: (key: string) => string;
  text: (key: string) => string;
  number: (key: string) => number;
}

const lineWords: Record<string, string> = {
  crown: 'crown',
  gutter: 'gutter line',
  found: 'bend of the surface',
};
const limitWords: Record<string, string> = {
  tilt: 'the tapered rings cannot follow the slope',
  rings: 'the catalogue allows no more rings in a stack',
  chimney: 'a taller stack would pass the chimney limit',
  sizes: 'no sum of ring sizes comes nearer',
};

const sourceWords: Record<string, string> = {
  automatic: 'no shots on the finished surface, no design surface, and no survey with a treatment',
  survey: 'no shots on the finished surface',
  design: 'no design surface',
  treatment: 'no survey of the existing or milled surface or of a lift',
};

function sayTreatment(t: Tools): string {
  const zone = t.text('zone') === '' ? '' : ` in zone "${t.text('zone')}"`;
  const count = t.number('lifts');
  const work = [
    t.number('mill') > 0 ? `less ${t.small('mill')} milled` : '',
    count > 0 ? `plus ${t.small('laid')} in ${count} ${count === 1 ? 'lift' : 'lifts'}` : '',
  ].filter(Boolean);
  const spread =
    count === 0
      ? ''
      : t.number('liftSigma') > 0
        ? ` A lift is taken to be good to ±${t.small('liftSigma')}.`
        : ' That the lifts come out as thick as planned is not counted in its allowance.';
  const done = work.length > 0 ? work.join(', ') : 'with nothing left to do';
  return `Finished surface: ${t.text('surface')} (${t.text('stage')})${zone}, ${done}.${spread}`;
}

const sentences: Record<string, Say> = {
  noShots: (v, t) =>
    'nearest' in v
      ? `No shot on the surface within ${t.far('limit')}; the nearest is ${t.far('nearest')} away.`
      : `No shot on the surface within ${t.far('limit')}.`,
  tooFewShots: (_, t) =>
    `Only ${t.text('count')} ${t.number('count') === 1 ? 'shot' : 'shots'} near it on its own side of any crown or gutter; a plane that checks itself takes ${t.text('limit')}.`,
  collinear: (_, t) => `The ${t.text('count')} shots near it lie on one line and make no surface.`,
  outsideHull: (_, t) =>
    `The shots on its own side of any crown or gutter do not surround it: its centre lies ${t.far('distance')} outside them.`,
  noDesign: (_, t) => `The design surface gives no answer here: ${t.text('detail')}.`,
  noSource: (_, t) =>
    `There is no surface to plan from: ${sourceWords[t.text('wanted')] ?? t.text('wanted')}.`,
  noTreatment: (_, t) =>
    `${t.text('surface')} was measured on the ${t.text('stage')} surface, and what is laid on it is not known.`,
  noSuchLift: (_, t) =>
    t.number('lift') > 0
      ? `${t.text('surface')} was measured on lift ${t.text('lift')}, which the treatment here does not have.`
      : `${t.text('surface')} was measured on a lift of the treatment here, and nobody said which.`,
  outsideZones: (_, t) =>
    `Outside every treatment zone (the nearest begins ${t.far('nearest')} away), so what is milled and laid here is not known.`,
  zonesOverlap: (_, t) => `Treatment zones lie over one another here: ${t.text('names')}.`,
  zoneEdge: (_, t) =>
    `The treatment changes under the rim, ${t.small('distance')} from its centre: ${t.text('names')}.`,
  fromTreatment: (_, t) => sayTreatment(t),
  setDown: (_, t) => `The rim is set ${t.small('by')} below the surface, as the treatment here asks.`,
  surveyTooWeak: (v, t) => {
    const from =
      'shots' in v
        ? ` from ${t.text('shots')} shots${'sigma' in v ? ` of ±${t.small('sigma')}` : ''}, ${t.far('nearest')} to ${t.far('reach')} away`
        : '';
    return `The survey is good to ±${t.small('allowance')} at the rim${from}, and the tolerance is ${t.small('tolerance')}. Measure again, nearer and with more shots, before a ring is cut.`;
  },
  steep: (_, t) =>
    `The surface falls ${formatPercent(t.number('slope'))} here, past the limit of ${formatPercent(t.number('limit'))}. Check the shots.`,
  notLocated: () => 'Not found, or its identity is in doubt: find it or call its owner first.',
  bearingUnknown: () =>
    'The marks of these rings count from up-station, and the direction of the road here is not known: give its bearing or a centre line.',
  chimneyUnsound: () => 'The seat or chimney is broken, cracked or leaking.',
  frameUnsound: () =>
    'The frame is cracked, rocks or is of the wrong class: replace it, then plan with the new height.',
  shotsShifted: (_, t) =>
    `${t.text('count')} of the ${t.text('near')} shots near it lie alike ${t.small('by')} ${t.text('side')}, as a wrong rod height gives. Find out which are right.`,
  shotsDisagree: (_, t) =>
    `${t.text('count')} of the ${t.text('near')} shots near it do not fit the others, ${t.small('worst')} off at worst. Find out which are right.`,
  overhang: (_, t) =>
    `The rim stands ${t.small('by')} out past the shots that its plane rests on, where a crown or gutter would not show. Shoot that side too.`,
  overLine: () =>
    'The surface bends under the rim, so no plane fits it all round. An engineer signs the compromise.',
  within: (_, t) =>
    `The rim is within ${t.small('worst')} of the finished surface all round (${t.text('shots')} rim shots); the tolerance is ${t.small('tolerance')}.`,
  leaveDoubt: (_, t) =>
    `With the survey's ±${t.small('allowance')} it may be out by more than ${t.small('tolerance')}.`,
  askStraightedge: (_, t) =>
    `By its one elevation the rim is ${t.proud('centre')}, within ${t.small('tolerance')}, but its tilt is not known. Lay a straightedge over it.`,
  tilted: (_, t) => `At its centre the rim is right, but it tilts ${t.small('worst')} off at the edge.`,
  rimUnknown: () => 'The rim as it is now has no elevation; the stack is planned from the seat.',
  seatUnknown: (_, t) =>
    t.text('rim') === 'known'
      ? 'The seat was never measured, so no stack can be planned: measure its elevation, or tape down to it from the rim.'
      : 'Neither the seat nor the rim was ever measured, so no stack can be planned: measure the elevation of the seat.',
  low: (_, t) => `The rim sits ${t.small('by')} under the new surface.`,
  proud: (_, t) => `The rim stands ${t.small('by')} over the new surface.`,
  telescoping: () => 'A telescoping top: turn or slide it, no rings.',
  riser: (_, t) =>
    `A riser in the frame may do instead (limit ${t.small('limit')}), if the frame is sound and its tilt is right already.`,
  frameOnSeat: (_, t) => `The frame goes straight on the seat and ends ${t.proud('centre')}.`,
  thickRope: (_, t) =>
    t.number('joints') > 1
      ? `The joint on the seat and the one under the frame are counted with ${t.small('pressed')} of thick rope each, pressed, for the vacuum test.`
      : `The joint under the frame is counted with ${t.small('pressed')} of thick rope, pressed, for the vacuum test.`,
  allowanceNotMet: (_, t) =>
    `The stack ends within ${t.small('worst')}, but with the survey's ±${t.small('allowance')} it may miss the tolerance of ${t.small('tolerance')}.`,
  nearestStack: (v, t) => {
    const how =
      'centre' in v ? `: ${t.proud('centre')} at its centre, tilted ${t.small('tilt')} off at the edge` : '';
    return `The nearest stack misses by ${t.small('worst')}${how}; the tolerance is ${t.small('tolerance')}.`;
  },
  withinSlack: (_, t) =>
    `The stack misses the tolerance of ${t.small('tolerance')} by no more than ${formatPercent(t.number('share'), 1)} of it, which counts as reached: no tape shows it.`,
  pastChimney: (_, t) =>
    `The chimney would be ${t.small('need')} high, ${t.small('short')} past the limit of ${t.small('limit')}.`,
  frameTooHigh: (_, t) =>
    `Even set on the bare seat the ${t.small('frame')} frame ends ${t.small('by')} too high.`,
  mortarPad: (_, t) =>
    `${t.small('net')} is left under the frame, less than the thinnest ring with its joints (${t.small('thinnest')}): a mortar pad, if permitted.`,
  unreachable: (_, t) =>
    `No stack of this catalogue reaches the surface: ${limitWords[t.text('limit')] ?? t.text('limit')}.`,
  compromise: (_, t) =>
    `A ${lineWords[t.text('line')]} runs ${t.far('distance')} from its centre; the best single plane misses the surface by ${t.small('misfit')}.`,
  ownSide: (_, t) =>
    `The plane is that of its own side of the ${lineWords[t.text('line')]}, ${t.far('distance')} away.`,
  foundSide: (_, t) =>
    `The shots show a ${lineWords[t.text('line')]} ${t.far('distance')} away; the plane is that of its own side.`,
  leftOut: (v, t) => {
    const one = t.number('count') === 1;
    const off =
      'off' in v
        ? `${t.small('worst')} ${t.number('off') > 0 ? 'high' : 'low'}${one ? '' : ' at worst'}`
        : `${t.small('worst')} at worst`;
    return `${t.text('count')} ${one ? 'shot does' : 'shots do'} not fit and ${one ? 'was' : 'were'} left out, ${off}: ${t.text('points')}.`;
  },
  scatter: (_, t) => `The shots scatter ${fixed(t.number('times'), 1)} times as much as their record says.`,
  assumedSigma: (_, t) =>
    `The survey is too small to show its own spread: ±${t.small('sigma')} a shot was assumed.`,
  millShorten: (_, t) =>
    `Before milling: take rings out so that the rim goes down ${t.small('drop')}; ${t.small('buildup')} of chimney allows it. Plate it.`,
  millFrameOnSeat: (_, t) =>
    `Before milling: set the frame on its seat; that clears the mill with ${t.small('spare')} to spare. Plate it.`,
  millSeatUnknown: (_, t) =>
    `Before milling the rim has to go down ${t.small('drop')}; whether its chimney allows that shows when the seat is measured. Plate it.`,
  millMillRound: (_, t) =>
    `Before milling: even on its seat the frame stands in the mill's way; ${t.small('drop')} is wanted and ${t.small('buildup')} of chimney is there. Shorten the cone or mill round it.`,
};

/** The surface is known well enough, and only the seat stands between a cover and its stack. */
export const waitsForSeat = (reasons: readonly Reason[]): boolean =>
  reasons.some(({ code }) => code === 'seatUnknown') && !reasons.some(({ code }) => code === 'surveyTooWeak');

/** One reason as a sentence in the project's units. A code without words is a programmer's error. */
export function sayReason({ code, values }: Reason, units: WordUnits): string {
  const say = sentences[code];
  if (!say) throw new RangeError(`no words for the reason "${code}"`);
  const number = (key: string) => Number(values[key]);
  return say(values, {
    small: (key) => formatSmall(number(key), units.small),
    far: (key) => formatDistance(number(key), units.elevation),
    proud: (key) => proudOrLow(number(key), units.small),
    text: (key) => String(values[key]),
    number,
  });
}
