import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Chimney, chooseCut, cutChimney } from '#core/drawing/chimney.ts';
import { crescentPath, curbSideOf, handOf, hourOf } from '#core/drawing/clock.ts';
import { rimErrorAt, rimErrorFrom, rimRound, worstOf } from '#core/drawing/rim.ts';
import { roundStep, scaleFrom, spreadLabels, ticksOf } from '#core/drawing/scale.ts';
import type { Ring } from '#core/stack/types.ts';

describe('scales', () => {
  it('put the ends of the domain on the ends of the range, downhill too', () => {
    const y = scaleFrom([-2, 2], [100, 0]);
    expect([y(-2), y(0), y(2)]).toEqual([100, 50, 0]);
  });

  it.each([
    [10, 5, 2],
    [7, 4, 2],
    [0.9, 3, 0.5],
    [2600, 8, 500],
  ])('a span of %d in at most %d parts steps by %d', (span, most, step) => {
    expect(roundStep(span, most)).toBeCloseTo(step, 12);
  });

  it('have ticks at multiples of the step, inside the span', () => {
    expect(ticksOf(1190, 2610, 4)).toEqual([1500, 2000, 2500]);
  });

  it('keep labels apart, in order and inside, wherever they fit', () => {
    const wanted = fc.array(fc.integer({ min: 0, max: 200 }), { minLength: 1, maxLength: 8 });
    fc.assert(
      fc.property(wanted, (places) => {
        const put = spreadLabels(places, 16, [0, 200]);
        const pairs = places
          .map((place, index) => ({ place, put: put[index] }))
          .sort((a, b) => a.put - b.put);
        for (let i = 1; i < pairs.length; i++) {
          expect(pairs[i].put - pairs[i - 1].put).toBeGreaterThanOrEqual(16 - 1e-9);
          expect(pairs[i].place).toBeGreaterThanOrEqual(pairs[i - 1].place);
        }
        expect(Math.min(...put)).toBeGreaterThanOrEqual(0);
        expect(Math.max(...put)).toBeLessThanOrEqual(200);
      }),
    );
  });
});

const inch = 0.0254;
const ring = (id: string, thin: number, thick: number): Ring => ({
  id,
  thin: thin * inch,
  thick: thick * inch,
  outerDiameter: 34 * inch,
  maxPerStack: 4,
  cost: null,
});
const chimney = (change: Partial<Chimney>): Chimney => ({
  seatElevation: 256,
  seatGradient: [0, 0],
  stack: [],
  rings: [ring('F2', 2, 2), ring('F3', 3, 3), ring('T', 0.5, 1.5)],
  joint: { base: 0.1 * inch, between: 0.1 * inch, top: 0.1 * inch },
  frameHeight: 7 * inch,
  rimRadius: 13 * inch,
  existing: null,
  ...change,
});

describe('the section', () => {
  const stack = [
    { ring: 'F3', azimuth: null },
    { ring: 'F2', azimuth: null },
    { ring: 'T', azimuth: Math.PI / 3 },
  ];

  it('stands bottom-up on the seat and adds up: rings, four joints, frame', () => {
    const { slabs } = cutChimney(chimney({ stack }), 0);
    expect(slabs.filter(({ part }) => part === 'ring').map(({ ring: r, number }) => [r?.id, number])).toEqual(
      [
        ['F3', 1],
        ['F2', 2],
        ['T', 3],
      ],
    );
    for (let i = 1; i < slabs.length; i++) expect(slabs[i].bottom).toBe(slabs[i - 1].top);
    expect(slabs[0].bottom).toBe(256);
    expect((slabs.at(-1)!.top - 256) / inch).toBeCloseTo(3 + 2 + 1 + 4 * 0.1 + 7, 9);
  });

  it('is cut through the taper, thick on the left, thin on the right', () => {
    const cut = chooseCut(stack, [0.01, 0.02], 0);
    expect(cut).toBeCloseTo(Math.PI / 3 + Math.PI, 12);
    const taper = cutChimney(chimney({ stack }), cut).slabs.find(({ ring: r }) => r?.id === 'T')!;
    const heightAt = (x: number) => taper.top + taper.topSlope * x - taper.bottom - taper.bottomSlope * x;
    expect(heightAt(-17 * inch) / inch).toBeCloseTo(1.5, 9);
    expect(heightAt(17 * inch) / inch).toBeCloseTo(0.5, 9);
  });

  it('shows no taper when cut across it', () => {
    const { slabs } = cutChimney(chimney({ stack }), Math.PI / 3 + Math.PI / 2);
    expect(slabs.at(-1)!.topSlope).toBeCloseTo(0, 12);
  });

  it('follows the fall of a finished grade when no single taper leads', () => {
    expect(chooseCut([], [-0.02, 0], 0)).toBeCloseTo(Math.PI / 2, 12);
    expect(chooseCut([], null, 1)).toBeCloseTo(1 + Math.PI / 2, 12);
  });

  it('shows what stands there when no stack is planned', () => {
    const { slabs } = cutChimney(chimney({ existing: 0.2 }), 0);
    expect(slabs.map(({ part }) => part)).toEqual(['existing', 'frame']);
    expect(slabs[1].bottom).toBeCloseTo(256.2, 12);
  });
});

describe('the clock', () => {
  it('has 12 up-station, 3 to the right looking up-station', () => {
    const bearing = 2.1;
    expect(hourOf(bearing, bearing)).toBe(12);
    expect(hourOf(bearing + Math.PI / 2, bearing)).toBeCloseTo(3, 12);
    expect(hourOf(bearing - Math.PI / 2, bearing)).toBeCloseTo(9, 12);
  });

  it('draws 12 at the top and 3 on the right of the screen', () => {
    expect(handOf(12)[0]).toBeCloseTo(0, 12);
    expect(handOf(12)[1]).toBeCloseTo(-1, 12);
    expect(handOf(3)[0]).toBeCloseTo(1, 12);
  });

  it('has the curb on the cover’s own side, and none where the offset is not known', () => {
    expect(curbSideOf(2)).toBe('right');
    expect(curbSideOf(-2)).toBe('left');
    expect(curbSideOf(0)).toBeNull();
    expect(curbSideOf(null)).toBeNull();
  });

  it('draws a crescent whose hole is pushed away from the thick side', () => {
    const [, , inner] = crescentPath(56, 46, 12).split('M');
    expect(Number(inner.split(' ')[1].split('a')[0])).toBeGreaterThan(0);
  });
});

describe('the rim round the clock', () => {
  const anyRim = fc.record({
    centre: fc.double({ min: -0.02, max: 0.02, noNaN: true }),
    east: fc.double({ min: -0.02, max: 0.02, noNaN: true }),
    north: fc.double({ min: -0.02, max: 0.02, noNaN: true }),
  });

  it('comes back from its errors at the four quarters', () => {
    fc.assert(
      fc.property(anyRim, (rim) => {
        const quarters = [0, 1, 2, 3].map((n) => rimErrorAt(rim, (n * Math.PI) / 2));
        const back = rimErrorFrom(quarters);
        for (const key of ['centre', 'east', 'north'] as const) expect(back[key]).toBeCloseTo(rim[key], 12);
      }),
    );
  });

  it('is nowhere farther from grade than at the point it calls worst', () => {
    fc.assert(
      fc.property(anyRim, fc.double({ min: 0, max: 6, noNaN: true }), (rim, bearing) => {
        const worst = worstOf(rim, bearing);
        const all = rimRound(rim, bearing, 360).map(({ error }) => Math.abs(error));
        expect(Math.abs(worst.error)).toBeGreaterThanOrEqual(Math.max(...all) - 1e-12);
        expect(rimErrorAt(rim, bearing + (worst.hour / 12) * 2 * Math.PI)).toBeCloseTo(worst.error, 12);
      }),
    );
  });
});
