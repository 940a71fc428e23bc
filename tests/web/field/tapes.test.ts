import { describe, expect, it } from 'vitest';
import type { RoundTheClock } from '#core/field/facts.ts';
import type { CoverCard } from '#shared/cover.ts';
import { tapedTarget } from '../../../web/field/hole/stack/in-force.ts';
import { doubtWords, plannedTapes, suspectOf } from '../../../web/field/hole/tapes/doubt.ts';
import { readDraft, type TapeDraft } from '../../../web/field/hole/tapes/read.ts';
import { solveHere } from '../../../web/field/hole/tapes/solve.ts';
import { plainSize } from '../../../web/field/hole/units.ts';
import { inch, tapedCard } from './card.ts';

const four = (...sizes: number[]) => sizes.map((size) => size * inch) as RoundTheClock<number>;
const say = (metres: number) => plainSize(metres, 'in');
const draft = (texts: TapeDraft['texts'], change: Partial<TapeDraft> = {}): TapeDraft => ({
  way: 'inches',
  texts,
  radius: '15',
  ...change,
});

describe('four tapes', () => {
  it('give the net buildup and the tilt of the worked case of the trade', () => {
    // r 15 in, 8.20 / 7.95 / 7.60 / 7.90: mean 7.9125 in, 2.01 % thick toward 4.8 degrees, misclosure -0.05 in.
    const read = readDraft(draft(['8.20', '7.95', '7.60', '7.90']), tapedCard({ roadBearingDeg: 0 }));
    expect(read.state).toBe('agree');
    if (read.state !== 'agree') return;
    expect(read.tapes.misclosureM / inch).toBeCloseTo(-0.05, 9);
    const target = tapedTarget(tapedCard({ roadBearingDeg: 0 }), read.tapes);
    expect(target.rise / inch).toBeCloseTo(7.9125, 9);
    expect(Math.hypot(...target.gradient)).toBeCloseTo(0.0201, 4);
    expect((Math.atan2(target.gradient[0], target.gradient[1]) * 180) / Math.PI).toBeCloseTo(4.76, 1);
    expect(read.tapes.asTyped).toEqual(['8.20 in', '7.95 in', '7.60 in', '7.90 in']);
  });

  it('are nothing before all four and the radius can be read', () => {
    expect(readDraft(draft(['8', '8', '8', '']), tapedCard()).state).toBe('incomplete');
    expect(readDraft(draft(['8', '8', '8', 'x']), tapedCard()).state).toBe('incomplete');
    expect(readDraft(draft(['8', '8', '8', '−8']), tapedCard()).state).toBe('incomplete');
    expect(readDraft(draft(['8', '8', '8', '8'], { radius: '0' }), tapedCard()).state).toBe('incomplete');
  });

  it('name the tape that is off where the plan tells: a misread half inch at 6', () => {
    const planned = four(13.25, 13, 12.75, 13);
    const doubt = suspectOf(four(13.3, 13.05, 12.3, 13), planned, 15 * inch);
    expect(doubt).toMatchObject({ what: 'tape', index: 2 });
    expect(doubtWords(-0.45 * inch, doubt, say)).toBe(
      'Tapes disagree by 7/16. Measure 6 again: by the plan it reads 7/16 short.',
    );
  });

  it.each([0, 1, 2, 3])('name tape %i when it alone is misread by an inch', (index) => {
    const planned = four(13.25, 13, 12.75, 13.1);
    for (const by of [1, -1]) {
      const down = planned.map((size, at) =>
        at === index ? size + by * inch : size,
      ) as RoundTheClock<number>;
      expect(suspectOf(down, planned, 15 * inch)).toMatchObject({ what: 'tape', index });
    }
  });

  it('blame a string where both of its tapes read alike too long', () => {
    const planned = four(13, 13, 13, 13);
    const doubt = suspectOf(four(13.75, 13, 13.75, 13), planned, 15 * inch);
    expect(doubt).toMatchObject({ what: 'string', line: 'along' });
    expect(doubtWords(1.5 * inch, doubt, say)).toContain('The string along the road looks 3/4 high.');
  });

  it('blame nobody without a plan, or where two would do', () => {
    expect(suspectOf(four(13, 13, 12.5, 13), null, 15 * inch)).toEqual({ what: 'unknown' });
    const close = four(13, 13, 13, 13);
    expect(suspectOf(four(13.07, 13, 13.07, 13), close, 15 * inch)).toEqual({ what: 'unknown' });
    expect(doubtWords(0.5 * inch, { what: 'unknown' }, say)).toMatch(
      /^Tapes disagree by 1\/2\. The string is twisted/,
    );
  });

  it('are expected by the plan where its surface lies over the seat', () => {
    const card = tapedCard({ roadBearingDeg: 90 });
    const planned = plannedTapes(card, 15 * inch)!;
    const { finished } = card.plan!;
    const rise = finished!.elevationM - card.structure.seatElevationM!;
    // Up-station is east here.
    expect(planned[0] - planned[2]).toBeCloseTo(2 * 15 * inch * finished!.gradientEast, 9);
    expect((planned[0] + planned[2]) / 2).toBeCloseTo(rise, 9);
    const unknown = { ...card, structure: { ...card.structure, seatElevationM: null } };
    expect(plannedTapes(unknown, 15 * inch)).toBeNull();
  });
});

describe('solving at the hole', () => {
  const tapes = {
    asTyped: ['', '', '', ''] as RoundTheClock<string>,
    downM: four(13.2, 13.2, 13.2, 13.2),
    radiusM: 15 * inch,
    bearingDeg: 0,
    misclosureM: 0,
  };
  const joint = { base: 0.1 * inch, between: 0.1 * inch, top: 0.1 * inch };

  it('needs no elevation of the seat, which the tapes go down to', () => {
    const card = tapedCard();
    const unknown = { ...card, structure: { ...card.structure, seatElevationM: null } };
    const given = { target: tapedTarget(unknown, tapes), truck: null, joint };
    expect(solveHere(unknown, given)).toEqual(solveHere(card, given));
  });

  it('takes the rings that reach it: 13.2 in less a 7 in frame is 3 + 3 with 3 joints, 0.1 in proud', () => {
    const card = tapedCard();
    const solved = solveHere(card, { target: tapedTarget(card, tapes), truck: null, joint })!;
    expect(solved.stack.map(({ ring }) => ring)).toEqual(['F3', 'F3']);
    expect(solved.centre / inch).toBeCloseTo(0.1, 6);
    expect(solved.isWithin).toBe(true);
  });

  it('uses no more of a ring than the truck has, and says where nothing reaches', () => {
    const card = tapedCard();
    const target = tapedTarget(card, tapes);
    const some = solveHere(card, { target, truck: { F3: 1, F2: 0, F1: 4, T: 0 }, joint })!;
    expect(some.stack.every(({ ring }) => ring === 'F3' || ring === 'F1')).toBe(true);
    expect(some.stack.filter(({ ring }) => ring === 'F3').length).toBeLessThanOrEqual(1);
    const none = solveHere(card, { target, truck: { F1: 1 }, joint })!;
    expect(none.isWithin).toBe(false);
  });

  it('has no answer without a catalogue', () => {
    const card = { ...tapedCard(), ringCatalogue: null } as CoverCard;
    expect(solveHere(card, { target: tapedTarget(card, tapes), truck: null, joint })).toBeNull();
  });
});
