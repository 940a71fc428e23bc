import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Histogram, NightProgress } from '#shared/plots.ts';
import { nightText } from '../../web/night-words.ts';
import { countBelow, countOf, cutAbove, fromZero, joinBins } from '../../web/plots/bars.ts';
import { lengthTicks } from '../../web/plots/ticks.ts';
import { buildupFinding, nightsFinding, remainingFinding, residualFinding } from '../../web/plots/words.ts';
import { unitsOf } from '../../web/units.ts';

const inches = unitsOf({ displayUnit: 'in', elevationUnit: 'us-ft' });
const metric = unitsOf({ displayUnit: 'mm', elevationUnit: 'm' });

/** Bins of a width from one on, as the server sends them. */
function histogram(binM: number, first: number, counts: number[], rest: Partial<Histogram> = {}): Histogram {
  const bins = counts.map((covers, at) => ({
    fromM: (first + at) * binM,
    toM: (first + at + 1) * binM,
    covers,
  }));
  return { unit: 'mm', binM, bins, below: 0, above: 0, unknown: 0, medianM: bins[0]?.fromM ?? null, ...rest };
}

describe('bars of a histogram', () => {
  it('are few, and lose no cover however many bins there were', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -300, max: 300 }),
        fc.array(fc.nat(50), { minLength: 1, maxLength: 120 }),
        fc.integer({ min: 4, max: 40 }),
        (first, counts, most) => {
          const bars = joinBins(histogram(0.005, first, counts, { below: 3, above: 4 }), most);
          expect(countOf(bars)).toBe(counts.reduce((sum, count) => sum + count, 7));
          expect(bars.bars.length).toBeLessThanOrEqual(most + 1);
          for (const [at, { fromM }] of bars.bars.entries())
            if (at > 0) expect(fromM).toBeCloseTo(bars.bars[at - 1].toM, 9);
        },
      ),
    );
  });

  it('begin at the finished grade, and what lies beyond a limit is counted beside them', () => {
    const bars = cutAbove(fromZero(joinBins(histogram(0.001, 2, [5, 4, 0, 1]), Infinity), 0.001), 0.004);
    expect(bars.bars.map(({ covers }) => covers)).toEqual([0, 0, 5, 4]);
    expect(bars.above).toBe(1);
    expect(countBelow(bars, 0.003)).toBe(5);
  });

  it('have ticks as a rule has them, or round millimetres', () => {
    const texts = (ticks: { text: string }[]) => ticks.map(({ text }) => text);
    expect(texts(lengthTicks(0, 0.5 * 0.0254, { units: inches, most: 5 }))).toEqual([
      '0',
      '1/8',
      '1/4',
      '3/8',
      '1/2',
    ]);
    expect(texts(lengthTicks(-0.05, 0.1, { units: metric, most: 4 }))).toEqual(['−50', '0', '50', '100']);
  });
});

describe('the finding of a plot', () => {
  it('says how much is to be built up', () => {
    const data = histogram(0.01, 2, [4, 6], { medianM: 0.035, unknown: 1 });
    expect(buildupFinding(data, metric)).toBe(
      '10 covers need from 20 mm to 40 mm of rings and joints, half of them less than about 35 mm. 1 cover has no figure yet.',
    );
    expect(buildupFinding(histogram(0.01, 0, []), metric)).toBe('No cover has a net buildup yet.');
  });

  it('says how many stacks keep the tolerance', () => {
    const data = histogram(0.001, 4, [5, 4, 1]);
    expect(residualFinding(data, 0.006, metric)).toBe(
      '9 of 10 stacks bring the rim within 6 mm of the finished surface; 1 misses it.',
    );
    expect(residualFinding(data, 0.007, metric)).toBe(
      'All 10 stacks bring the rim within 7 mm of the finished surface.',
    );
  });

  it('says where least is left, and whose limit that is held to', () => {
    const street = {
      covers: 2,
      unknown: 0,
      leastM: -0.01,
      lowerQuartileM: 0,
      upperQuartileM: 0.1,
      greatestM: 0.2,
    };
    const plots = {
      limit: { valueM: 0.3, from: 'agency' as const, ringCatalogueId: null },
      remainingByStreet: [
        { ...street, street: 'Fennel Street', pastLimit: 1, medianM: 0.05 },
        { ...street, street: 'Weir Parkway', pastLimit: 0, medianM: 0.09 },
      ],
    };
    expect(remainingFinding(plots as never, metric)).toBe(
      "Least is left on Fennel Street: half of its covers can rise 50 mm or less. 1 cover is past the chimney limit. Chimneys are held to 300 mm, the agency's.",
    );
  });

  it('says how far the nights are, what is behind and what is next', () => {
    const night = (date: string | null, covers: number, byStatus: NightProgress['byStatus']) => ({
      night: date,
      covers,
      byStatus,
    });
    const nights = [
      night('2027-05-03', 10, { set: 5, accepted: 4, stacked: 1 }),
      night('2027-05-05', 8, { planned: 8 }),
      night(null, 3, { raise: 3 }),
    ];
    expect(nightsFinding(nights, '2027-05-04')).toBe(
      '9 of 18 covers with a night are set or accepted. 1 of past nights is not done. Next is Wed 5 May with 8 to do.',
    );
    expect(nightsFinding([nights[2]], '2027-05-04')).toBe('No cover has been given a night yet.');
    expect(nightText(null)).toBe('No night');
  });
});
