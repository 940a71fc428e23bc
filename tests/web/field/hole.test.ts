import { describe, expect, it } from 'vitest';
import type { AnyMade, Facts, RecordKind, RoundTheClock } from '#core/field/facts.ts';
import { acceptedBy } from '../../../web/field/hole/limits.ts';
import { fitWithin } from '../../../web/field/hole/photo/shrink.ts';
import { jointOrders, orderWords } from '../../../web/field/hole/stack/beads.ts';
import { seatToRim } from '../../../web/field/hole/stack/heights.ts';
import { fitOf, raiseOf, stackInForce } from '../../../web/field/hole/stack/in-force.ts';
import {
  begin,
  isAllIn,
  resume,
  tapRing,
  usedStack,
  useRing,
} from '../../../web/field/hole/stack/progress.ts';
import { allOf, lastOf, openPlate, standing } from '../../../web/field/hole/standing.ts';
import { statusBy } from '../../../web/field/hole/status.ts';
import { countdown, cureLeft } from '../../../web/field/hole/steps/countdown.ts';
import { missingBefore, nextStep, stepOf } from '../../../web/field/hole/steps/list.ts';
import { roundWords } from '../../../web/field/hole/steps/round.ts';
import { sealedJoints, thickGain, thickJoint } from '../../../web/field/hole/steps/seal-joints.ts';
import { noTie, readTies, tieOf } from '../../../web/field/hole/steps/tie-draft.ts';
import { changeTruck, missingOn } from '../../../web/field/hole/truck.ts';
import { bigSize, lowOrProud } from '../../../web/field/hole/units.ts';
import {
  beginRun,
  lastReading,
  readGauge,
  secondsOf,
  stopRun,
  timerText,
} from '../../../web/field/hole/vacuum/run.ts';
import { inch, tapedCard } from './card.ts';

let made = 0;
function record<Kind extends RecordKind>(kind: Kind, facts: Facts[Kind]): AnyMade {
  made++;
  const id = `00000000-0000-4000-8000-${String(made).padStart(12, '0')}`;
  const deviceTime = new Date(Date.UTC(2026, 10, 25, 22, made)).toISOString();
  return { id, structureId: 'MH-1', kind, facts, by: 'R. Pell', device: 'd', deviceTime, seen: 0 } as AnyMade;
}
const units = { small: 'fractionInches', smallUnit: 'in', elevation: 'ft' } as const;

describe('records that stand', () => {
  it('lose what was withdrawn and what was set aside, and keep the order', () => {
    const one = record('backfilled', { material: 'Concrete' });
    const two = record('backfilled', { material: 'Flowable fill' });
    const back = record('withdrawn', { record: two.id, reason: 'Wrong figure' });
    expect(standing([one, two, back]).map(({ id }) => id)).toEqual([one.id]);
    expect(lastOf([one, two, back], 'backfilled')?.id).toBe(one.id);
    const settled = record('settled', { keep: two.id, over: [one.id], reason: 'Seen on site' });
    expect(allOf([one, two, settled], 'backfilled').map(({ id }) => id)).toEqual([two.id]);
  });

  it('hold again when their taking back is itself taken back', () => {
    const one = record('backfilled', { material: 'Concrete' });
    const back = record('withdrawn', { record: one.id, reason: 'Wrong cover' });
    const again = record('withdrawn', { record: back.id, reason: 'Tapped by mistake' });
    expect(standing([one, back])).toEqual([]);
    expect(standing([one, back, again]).map(({ id }) => id)).toEqual([one.id]);
  });

  it('show a plate until it is reopened, and again when the reopening is taken back', () => {
    const plated = record('plated', { plate: 'P-14', rimElevationM: null, ties: [] });
    const open = record('reopened', { plate: 'P-14' });
    const back = record('withdrawn', { record: open.id, reason: 'Wrong cover' });
    expect(openPlate([])).toBeNull();
    expect(openPlate([plated])?.facts.plate).toBe('P-14');
    expect(openPlate([plated, open])).toBeNull();
    expect(openPlate([plated, open, back])?.facts.plate).toBe('P-14');
  });
});

describe('the status that records give', () => {
  const limits = { proud: 0.25 * inch, low: 0.25 * inch };
  const plated = record('plated', { plate: 'P-14', rimElevationM: null, ties: [] });
  const dry = record('dryStacked', { rimErrorsM: [0, 0, 0, 0], marked: true });
  const set = record('frameSet', { centred: true, offsetM: null });
  const high = record('rimChecked', { method: 'string', rimErrorsM: [0.3 * inch, 0, 0, 0], sigmaM: 0.001 });

  it('follows the work: plated, stacked, set, off grade', () => {
    expect(statusBy([], limits)).toBeNull();
    expect(statusBy([plated], limits)).toBe('plated');
    const open = record('reopened', { plate: 'P-14' });
    expect(statusBy([plated, open], limits)).toBe('planned');
    expect(statusBy([plated, open, dry], limits)).toBe('stacked');
    expect(statusBy([plated, dry, set], limits)).toBe('plated');
    expect(statusBy([dry, set], limits)).toBe('set');
    expect(statusBy([dry, set, high], limits)).toBe('offGrade');
  });

  it('goes back when a record is taken back, and on by the engineer’s word', () => {
    const back = record('withdrawn', { record: high.id, reason: 'Wrong figure' });
    expect(statusBy([dry, set, high, back], limits)).toBe('set');
    const word = record('accepted', { accepted: true, reasons: [], reason: '' });
    expect(statusBy([dry, set, word], limits)).toBe('accepted');
    expect(statusBy([record('note', { text: 'Root' })], limits)).toBeNull();
  });
});

describe('the order of the work', () => {
  it('says what usually comes before, and lets it be done all the same', () => {
    expect(missingBefore(stepOf('seal'), [])).toEqual(['Dry stack']);
    const dry = record('dryStacked', { rimErrorsM: [0, 0, 0, 0], marked: true });
    expect(missingBefore(stepOf('seal'), [dry])).toEqual([]);
  });

  it('puts a plate that lies before everything that needs the hole open', () => {
    const plated = record('plated', { plate: 'P-14', rimElevationM: null, ties: [] });
    expect(missingBefore(stepOf('dry'), [plated])).toContain('Reopen the plate');
    expect(nextStep([plated])).toBe('plate');
    expect(nextStep([])).toBe('find');
    expect(nextStep([record('found', { outcome: 'found', ties: [], note: '' })])).toBe('dry');
  });
});

describe('the stack in force', () => {
  const card = tapedCard();
  const chosen = record('stackChosen', {
    because: 'tapes',
    reason: 'By four tapes',
    tapes: {
      asTyped: ['13.2 in', '13.2 in', '13.2 in', '13.2 in'],
      downM: [13.2 * inch, 13.2 * inch, 13.2 * inch, 13.2 * inch],
      radiusM: 15 * inch,
      bearingDeg: 0,
      misclosureM: 0,
    },
    truck: null,
    jointM: { base: 0.1 * inch, between: 0.1 * inch, top: 0.1 * inch },
    stack: [
      { ring: 'F3', azimuthDeg: null },
      { ring: 'F3', azimuthDeg: null },
    ],
    worstM: 0.1 * inch,
    centreM: 0.1 * inch,
    tiltM: 0,
    planRevision: 1,
    planStack: card.plan!.stack,
  });

  it('is the plan’s until another one is chosen, and again once that is withdrawn', () => {
    expect(stackInForce(card, [])?.stack).toEqual(card.plan!.stack);
    expect(stackInForce(card, [chosen])?.stack.map(({ ring }) => ring)).toEqual(['F3', 'F3']);
    const back = record('withdrawn', { record: chosen.id, reason: 'Wrong figure' });
    expect(stackInForce(card, [chosen, back])?.stack).toEqual(card.plan!.stack);
  });

  it('is none where nothing is stacked: left, rebuilt, telescoping, not planned', () => {
    for (const status of ['leave', 'rebuild'] as const)
      expect(stackInForce(tapedCard({ plan: { ...card.plan!, status } }), [])).toBeNull();
    expect(stackInForce({ ...card, plan: null }, [])).toBeNull();
  });

  it('tells the raise by tapes where there are tapes, else by the plan', () => {
    // The plan's rim shots say 2 in, the register's elevation 2.1: the desk and paper say 2.
    expect(raiseOf(card, stackInForce(card, [])!.target)! / inch).toBeCloseTo(2, 6);
    expect(raiseOf(card, stackInForce(card, [chosen])!.target)! / inch).toBeCloseTo(2.1, 6);
    const unplanned = { ...card, plan: { ...card.plan!, rimErrorM: null } };
    expect(raiseOf(unplanned, stackInForce(card, [])!.target)! / inch).toBeCloseTo(2.1, 6);
  });

  it('where the seat was never measured is none until it was taped; the raise is still that of the rim', () => {
    const unknown = {
      ...card,
      structure: { ...card.structure, seatElevationM: null },
      plan: { ...card.plan!, status: 'remeasure' as const, stack: [], residual: null },
    };
    expect(stackInForce(unknown, [])).toBeNull();
    const force = stackInForce(unknown, [chosen])!;
    expect(fitOf(unknown, force.target!, force)!.chimney / inch).toBeCloseTo(6.3, 6);
    expect(raiseOf(unknown, force.target)! / inch).toBeCloseTo(2, 6);
  });

  it('gives heights from seat to rim that differ across the rim by its slope, and end where the fit says', () => {
    const force = stackInForce(card, [chosen])!;
    const fit = fitOf(card, force.target!, force)!;
    const [twelve, three, six, nine] = seatToRim(force.target!, fit.rim, 0);
    // Two flats of 3, three joints of 0.1 and a 7 in frame, all round alike.
    for (const height of [twelve, three, six, nine]) expect(height / inch).toBeCloseTo(13.3, 6);
    const planned = stackInForce(card, [])!;
    const tilted = seatToRim(planned.target!, fitOf(card, planned.target!, planned)!.rim, 0);
    // The taper of 1 in over 34 in, thick at 150 degrees, over a rim of 26 in: 12 is 0.66 in lower than 6.
    expect((tilted[0] - tilted[2]) / inch).toBeCloseTo((Math.cos((150 * Math.PI) / 180) * 26) / 34, 2);
  });
});

describe('what the agency accepts', () => {
  it('is another thing for drainage, and asks for a vacuum test where the agency says all', () => {
    const card = tapedCard();
    expect(acceptedBy(card)).toMatchObject({ proud: 0.25 * inch, low: 0.25 * inch, vacuum: true });
    const inlet = { ...card, structure: { ...card.structure, kind: 'inlet' } };
    expect(acceptedBy(inlet)).toMatchObject({ proud: 0, low: 0.006 });
    const none = {
      ...card,
      limits: { ...card.limits, vacuumTest: { value: 'none' as const, from: 'default' as const } },
    };
    expect(acceptedBy(none).vacuum).toBe(false);
  });
});

describe('rings going in', () => {
  const stack = [
    { ring: 'F3', azimuthDeg: null },
    { ring: 'F2', azimuthDeg: null },
    { ring: 'T', azimuthDeg: 150 },
  ];

  it('ask once where one is left out below, and take it when it is meant', () => {
    const first = tapRing(begin(stack), 2);
    expect(first.ask).toEqual({ ring: 3, before: 1 });
    const meant = tapRing(first.progress, 2, true);
    expect(meant.ask).toBeNull();
    expect(tapRing(meant.progress, 1).ask).toBeNull();
  });

  it('are all in from the bottom without a question, and out again by a second tap', () => {
    let progress = begin(stack);
    for (const index of [0, 1, 2]) {
      const tap = tapRing(progress, index);
      expect(tap.ask).toBeNull();
      progress = tap.progress;
    }
    expect(isAllIn(progress)).toBe(true);
    expect(isAllIn(tapRing(progress, 2).progress)).toBe(false);
  });

  it('may be others, fewer or more than were chosen', () => {
    const other = useRing(begin(stack), 1, { ring: 'F1', azimuthDeg: null });
    expect(usedStack(other).map(({ ring }) => ring)).toEqual(['F3', 'F1', 'T']);
    expect(usedStack(useRing(other, 1, null)).map(({ ring }) => ring)).toEqual(['F3', 'T']);
    expect(usedStack(useRing(other, 3, { ring: 'F1', azimuthDeg: null }))).toHaveLength(4);
    expect(tapRing(useRing(begin(stack), 0, null), 1).ask).toBeNull();
  });

  it('begin anew for another stack', () => {
    const half = tapRing(begin(stack), 0).progress;
    expect(resume(half, stack)).toBe(half);
    expect(resume(half, stack.slice(1)).rings.every(({ isIn }) => !isIn)).toBe(true);
  });

  it('are taken off a counted truck and put back, never below none', () => {
    expect(changeTruck({ F3: 1, F2: 0 }, stack, -1)).toEqual({ F3: 0, F2: 0 });
    expect(changeTruck({ F3: 0, F2: 0 }, stack, 1)).toEqual({ F3: 1, F2: 1 });
    expect(changeTruck(null, stack, -1)).toBeNull();
    expect(missingOn({ F3: 1, F2: 0, T: 1 }, stack)).toEqual(['F2']);
    expect(missingOn(null, stack)).toEqual([]);
  });
});

describe('sealing', () => {
  const usual = { base: 0.1 * inch, between: 0.1 * inch, top: 0.1 * inch };

  it('counts thick rope at bottom and top twice, and once on the bare seat', () => {
    // TRADE case: rope 0.30 in for joints of 0.10 in adds 0.40 in.
    const thick = thickJoint(usual, 0.3 * inch);
    expect(thickGain(usual, thick, 3) / inch).toBeCloseTo(0.4, 9);
    expect(thickGain(usual, thick, 0) / inch).toBeCloseTo(0.2, 9);
  });

  it('lays rope and no bead where a vacuum test is asked, thick where it was solved so, two on a rough seat', () => {
    const card = tapedCard();
    const asked = { rings: 2, joint: thickJoint(usual, 0.3 * inch), isVacuumAsked: true, isSeatRough: true };
    const words = jointOrders(card, asked).map(orderWords);
    expect(words).toEqual(['two thick ropes', 'one rope', 'one thick rope']);
    const plain = { rings: 1, joint: usual, isVacuumAsked: false, isSeatRough: false };
    expect(jointOrders(card, plain).map(orderWords)).toEqual(['one bead', 'one bead']);
  });

  it('is recorded joint by joint from the seat up', () => {
    const joints = sealedJoints({
      form: 'bead',
      product: ' Mastic ',
      sizeM: 0.0127,
      thickM: 0.0254,
      joints: [
        { count: 2, endsJoined: true },
        { count: 1, endsJoined: true },
        { count: 1, endsJoined: false },
      ],
    });
    expect(joints.map(({ joint, form, sizeM, count }) => [joint, form, sizeM, count])).toEqual([
      [0, 'rope', 0.0254, 2],
      [1, 'bead', 0.0127, 1],
      [2, 'rope', 0.0254, 1],
    ]);
    expect(joints[0].product).toBe('Mastic');
  });
});

describe('the clock of a test', () => {
  it('tells the time that has passed by the phone’s clock, whatever happened between', () => {
    const run = beginRun(10, 1_000_000);
    expect(secondsOf(run, 1_000_000)).toBe(0);
    // The screen slept for a minute and a half: nothing ticked.
    expect(secondsOf(run, 1_090_400)).toBeCloseTo(90.4, 9);
    expect(secondsOf(stopRun(run, 1_060_000), 9_999_999)).toBe(60);
    expect(secondsOf(run, 999_000)).toBe(0);
  });

  it('shows whole seconds that are over, never one too many', () => {
    expect(timerText(59.97)).toBe('59');
    expect(timerText(60)).toBe('60');
    expect(timerText(390.2)).toBe('390');
  });

  it('takes quick steps of the gauge as one reading and keeps the first', () => {
    const run = beginRun(10, 0);
    const stepped = readGauge(readGauge(run, 9.9, 20_000), 9.8, 20_300);
    expect(stepped.readings).toEqual([
      { at: 0, inHg: 10 },
      { at: 20_300, inHg: 9.8 },
    ]);
    expect(lastReading(readGauge(stepped, 9.5, 30_000))).toBe(9.5);
    expect(readGauge(run, 9.9, 100).readings).toHaveLength(2);
  });
});

describe('what is fresh', () => {
  it('counts down to its hour and stays at nothing after it', () => {
    const poured = '2026-11-25T22:00:00.000Z';
    expect(countdown(cureLeft(poured, 24, Date.parse('2026-11-25T22:00:30.000Z')))).toBe('23:59:30');
    expect(countdown(cureLeft(poured, 72, Date.parse(poured)))).toBe('72:00:00');
    expect(cureLeft(poured, 2, Date.parse('2026-11-26T01:00:00.000Z'))).toBe(0);
  });
});

describe('figures in a crew’s words', () => {
  it('are fractions, low or proud, never a bare sign', () => {
    expect(lowOrProud(-0.125 * inch, units)).toBe('1/8 in low');
    expect(lowOrProud(0.0001, units)).toBe('flush');
    expect(bigSize(-2.375 * inch, 'in')).toEqual({
      whole: '2',
      numerator: '3',
      denominator: '8',
      unit: 'in',
    });
    expect(bigSize(0.5 * inch, 'in').whole).toBe('');
    expect(bigSize(0.0603, 'mm').whole).toBe('60');
  });

  it('say middle, highest and lowest of a rim', () => {
    const rim: RoundTheClock<number> = [0.125 * inch, 0, -0.125 * inch, 0];
    const say = (metres: number) => lowOrProud(metres, units);
    expect(roundWords(rim, say)).toBe('flush in the middle; at 12 1/8 in proud, at 6 1/8 in low.');
    expect(roundWords([0, 0, 0, 0], say)).toBe('flush all round.');
  });

  it('read ties of feet and inches or metres, and refuse half a tie', () => {
    const tie = tieOf({ ...noTie, to: ' Hydrant ', feet: '18', inches: '4' })!;
    expect(tie.to).toBe('Hydrant');
    expect(tie.distanceM / inch).toBeCloseTo(220, 9);
    expect(tieOf({ ...noTie, to: 'Valve', metres: '5.16' })?.distanceM).toBeCloseTo(5.16, 9);
    expect(readTies([noTie, { ...noTie, to: 'Hydrant' }])).toBeNull();
    expect(readTies([noTie, noTie])).toEqual([]);
    expect(tieOf({ ...noTie, to: 'Hydrant', feet: '18', inches: '13' })).toBeNull();
  });

  it('keep pictures within 2048 px and never make them larger', () => {
    expect(fitWithin(4032, 3024)).toEqual({ width: 2048, height: 1536 });
    expect(fitWithin(3024, 4032)).toEqual({ width: 1536, height: 2048 });
    expect(fitWithin(640, 480)).toEqual({ width: 640, height: 480 });
  });
});
