import { describe, expect, test } from 'vitest';
import { decideForMill } from '#core/decision/mill.ts';

const treatment = { millDepth: 0.05, millClearance: 0.025, maxRiser: 0 };
const at = (buildup: number, thinnest = 0.025) =>
  decideForMill({ rim: 100 + 0.18 + buildup, seat: 100, frameHeight: 0.18 }, treatment, thinnest);

describe('a rim in the way of the mill', () => {
  test('comes down by taking rings out where enough are left under it', () => {
    expect(at(0.12)).toMatchObject({ way: 'shorten', spare: 0 });
    expect(at(0.12)!.drop).toBeCloseTo(0.075, 12);
    expect(at(0.1)).toMatchObject({ way: 'shorten' });
  });

  test('goes straight on the seat where no ring is thin enough for what is left, or nothing is', () => {
    const decision = at(0.09)!;
    expect(decision.way).toBe('frameOnSeat');
    expect(decision.spare).toBeCloseTo(0.015, 12);
    expect(at(0.075)).toMatchObject({ way: 'frameOnSeat', spare: 0 });
  });

  test('is milled round where even that stands too high', () => {
    const decision = at(0.05)!;
    expect(decision.way).toBe('millRound');
    expect(decision.spare).toBeCloseTo(-0.025, 12);
  });

  test('is nobody’s matter where nothing is milled', () => {
    expect(
      decideForMill({ rim: 1, seat: 0, frameHeight: 0.2 }, { ...treatment, millDepth: 0 }, 0.02),
    ).toBeNull();
  });
});
