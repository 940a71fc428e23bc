import { describe, expect, it } from 'vitest';
import { buildupNow } from '#core/register/chimney.ts';
import { countOverlays, judgeOverlay, type OverlayCandidate } from '#core/register/overlay.ts';
import { sayOverlay } from '#core/register/overlayWords.ts';

const inch = 0.0254;
/** A chimney of so many metres under a rim at 100 m. */
const standing = (buildup: number, change: Partial<OverlayCandidate> = {}): OverlayCandidate => ({
  rim: 100,
  seat: 100 - 0.18 - buildup,
  frameHeight: 0.18,
  located: null,
  chimneyUnsound: null,
  frameUnsound: null,
  telescoping: false,
  ...change,
});
const overlay = (thickness: number, mill = 0, millClearance = 0) => ({ thickness, mill, millClearance });

describe('the chimney as it stands', () => {
  it('is rim less seat less frame: 90 mm of a rim at 256.480, a seat at 256.210 and a frame of 180 mm', () => {
    // Worked example of the trade's arithmetic; common practice, no source.
    expect(buildupNow({ rim: 256.48, seat: 256.21, frameHeight: 0.18 })).toBeCloseTo(0.09, 9);
  });

  it('is not known without a rim or a seat', () => {
    expect(buildupNow({ rim: null, seat: 1, frameHeight: 0.1 })).toBeNull();
    expect(buildupNow({ rim: 1, seat: null, frameHeight: 0.1 })).toBeNull();
  });
});

describe('the next overlay on a structure', () => {
  // 9.5 in of chimney and a limit of 12 in; worked by hand, common practice, no source.
  it('of 2 in leaves half an inch of a 12 in limit over 9.5 in', () => {
    const verdict = judgeOverlay(standing(9.5 * inch), overlay(2 * inch), 12 * inch);
    expect(verdict).toMatchObject({ answer: 'yes', reason: 'fits', overlaysLeft: 1 });
    expect(verdict.values.left / inch).toBeCloseTo(0.5, 6);
    expect(sayOverlay(verdict, 'decimalInches')).toBe(
      'The chimney comes to 11.50 in of 12.00 in; 0.50 in is left.',
    );
  });

  it('of 3 in passes it by half an inch', () => {
    const verdict = judgeOverlay(standing(9.5 * inch), overlay(3 * inch), 12 * inch);
    expect(verdict).toMatchObject({ answer: 'no', reason: 'chimneyLimit', overlaysLeft: 0 });
    expect(verdict.values.over / inch).toBeCloseTo(0.5, 6);
    expect(verdict.remaining! / inch).toBeCloseTo(2.5, 6);
    expect(verdict.after! / inch).toBeCloseTo(12.5, 6);
  });

  it('counts what is milled off: 3 in on 1.5 in milled raise by 1.5 in, once more and no oftener', () => {
    const verdict = judgeOverlay(standing(9.5 * inch), overlay(3 * inch, 1.5 * inch), 12 * inch);
    expect(verdict).toMatchObject({ answer: 'yes', overlaysLeft: 1 });
  });

  it('fits where it comes to the limit exactly', () => {
    expect(judgeOverlay(standing(0.25), overlay(0.05), 0.3)).toMatchObject({
      answer: 'yes',
      overlaysLeft: 1,
    });
  });

  it('may be milled for where the frame comes out of the way: 90 mm of chimney, 50 mm milled, 25 mm clear', () => {
    expect(judgeOverlay(standing(0.09), overlay(0.05, 0.05, 0.025), 0.3).answer).toBe('yes');
  });

  it('is not where the mill strikes the rim, by what it lacks', () => {
    const verdict = judgeOverlay(standing(0.06), overlay(0.05, 0.05, 0.025), 0.3);
    expect(verdict).toMatchObject({ answer: 'no', reason: 'millStrikes' });
    expect(verdict.values.short).toBeCloseTo(0.015, 9);
    expect(sayOverlay(verdict, 'millimetres')).toBe(
      'The mill strikes the rim: it has to go down 75 mm, and 60 mm of chimney is there, 15 mm short.',
    );
  });

  it('with nothing milled is never struck by the mill, whatever clearance it would need', () => {
    expect(judgeOverlay(standing(0), overlay(0.05, 0, 0.025), 0.3).answer).toBe('yes');
    expect(judgeOverlay(standing(-0.004), overlay(0.05), 0.3).answer).toBe('yes');
  });

  it.each([
    [{ located: false, chimneyUnsound: true }, 'unknown', 'notLocated'],
    [{ chimneyUnsound: true, frameUnsound: true }, 'no', 'chimneyUnsound'],
    [{ frameUnsound: true, telescoping: true }, 'unknown', 'frameUnsound'],
    [{ telescoping: true, seat: null }, 'unknown', 'telescoping'],
    [{ seat: null, rim: null }, 'unknown', 'noSeat'],
    [{ rim: null }, 'unknown', 'noRim'],
    [{ rim: 99.8 }, 'unknown', 'belowSeat'],
    [{ located: true, chimneyUnsound: false, frameUnsound: false }, 'yes', 'fits'],
  ] as const)('with %j is answered %s: %s', (change, answer, reason) => {
    const verdict = judgeOverlay(standing(0.1, change), overlay(0.05), 0.3);
    expect(verdict).toMatchObject({ answer, reason });
    expect(sayOverlay(verdict, 'millimetres')).toMatch(/^[A-Z].*\.$/);
    expect(sayOverlay(verdict, 'millimetres')).not.toContain('NaN');
  });

  it('tells no heights of what telescopes or contradicts itself', () => {
    const unknown = { remaining: null, after: null, overlaysLeft: null };
    expect(judgeOverlay(standing(0.1, { telescoping: true }), overlay(0.05), 0.3)).toMatchObject(unknown);
    expect(judgeOverlay(standing(-0.011), overlay(0.05), 0.3)).toMatchObject(unknown);
  });

  it.each(['millStrikes', 'chimneyLimit'] as const)('says %s in whole sentences', (reason) => {
    const values = { by: 0.01, drop: 0.02, buildup: 0.01, short: 0.01, after: 0.4, limit: 0.3, over: 0.1 };
    expect(sayOverlay({ reason, values }, 'millimetres')).toMatch(/^[A-Z].* mm.*\.$/);
  });
});

describe('how many overlays are left', () => {
  it('is a whole number, 0 past the limit, and without end where the rim does not rise', () => {
    expect(countOverlays(2.5 * inch, 1.5 * inch)).toBe(1);
    expect(countOverlays(0.15, 0.05)).toBe(3);
    expect(countOverlays(-0.01, 0.05)).toBe(0);
    expect(countOverlays(0.15, 0)).toBeNull();
    expect(countOverlays(0.15, -0.02)).toBeNull();
  });
});
