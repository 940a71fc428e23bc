import { describe, expect, it } from 'vitest';
import { statuses } from '#shared/status.ts';
import { layersOf } from '../../web/symbols/layers.ts';
import { ciede2000, contrastOf, dichromacy, greyOf, labOf, linearOf, seenBy, type Triple } from './colour.ts';

interface Pair {
  codes: string;
  difference: number;
}

/** Differences of all pairs of status fills, least first. */
function pairsSeen(see: (colour: Triple) => Triple): Pair[] {
  const labs = statuses.map(({ code, fill }) => ({ code, lab: labOf(see(linearOf(fill))) }));
  const pairs = labs.flatMap((one, index) =>
    labs.slice(index + 1).map((two) => ({
      codes: `${one.code}/${two.code}`,
      difference: ciede2000(one.lab, two.lab),
    })),
  );
  return pairs.sort((a, b) => a.difference - b.difference);
}

const medianOf = (pairs: Pair[]) => (pairs[38].difference + pairs[39].difference) / 2;

describe('CIEDE2000', () => {
  // Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula", Color Res. Appl. 30 (2005), table 1.
  it.each([
    [[50, 2.6772, -79.7751], [50, 0, -82.7485], 2.0425],
    [[50, 3.1571, -77.2803], [50, 0, -82.7485], 2.8615],
    [[50, 2.8361, -74.02], [50, 0, -82.7485], 3.4412],
    [[50, 0, 0], [50, -1, 2], 2.3669],
    [[50, 2.49, -0.001], [50, -2.49, 0.0009], 7.1792],
    [[50, 2.5, 0], [73, 25, -18], 27.1492],
    [[60.2574, -34.0099, 36.2677], [60.4626, -34.1751, 39.4387], 1.2644],
    [[2.0776, 0.0795, -1.135], [0.9033, -0.0636, -0.5514], 0.9082],
  ] as [Triple, Triple, number][])('%j to %j is %d as published', (one, two, published) => {
    expect(ciede2000(one, two)).toBeCloseTo(published, 4);
    expect(ciede2000(two, one)).toBeCloseTo(published, 4);
  });
});

describe('status fills', () => {
  it.each([
    ['normal', (colour: Triple) => colour, 15.0, 41.1, 'planned/stacked'],
    ['protan', (colour: Triple) => seenBy(dichromacy.protan, colour), 10.7, 35.1, 'planned/stacked'],
    ['deutan', (colour: Triple) => seenBy(dichromacy.deutan, colour), 10.7, 34.3, 'unsurveyed/set'],
    ['tritan', (colour: Triple) => seenBy(dichromacy.tritan, colour), 12.1, 36.1, 'remeasure/set'],
  ] as const)('stay apart in %s vision', (_vision, see, least, median, closest) => {
    const pairs = pairsSeen(see);
    expect(pairs).toHaveLength(78);
    expect(pairs[0].difference).toBeGreaterThanOrEqual(least - 0.05);
    expect(pairs[0].codes).toBe(closest);
    expect(medianOf(pairs)).toBeCloseTo(median, 0);
  });

  it('collide in grey, which is why every status has a shape of its own', () => {
    const pairs = pairsSeen(greyOf);
    expect(pairs[0].codes).toBe('remeasure/raise');
    expect(pairs[0].difference).toBeLessThan(1);
    expect(pairs.filter(({ difference }) => difference < 10)).toHaveLength(17);
    expect(new Set(statuses.map(({ shape }) => shape)).size).toBe(statuses.length);
  });

  it('give every status its own drawing', () => {
    const drawings = statuses.map(({ shape, fill }) => JSON.stringify(layersOf(shape, fill)));
    expect(new Set(drawings).size).toBe(13);
    for (const { shape, fill } of statuses) {
      const painted = layersOf(shape, fill).some((layer) => layer.fill === fill || layer.stroke === fill);
      expect(painted, shape).toBe(true);
    }
  });
});

describe('text colours', () => {
  // WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
  it.each([
    ['ink on white', '#16201F', '#FFFFFF', 16],
    ['secondary text on white', '#44514E', '#FFFFFF', 8],
    ['secondary text on the map ground', '#44514E', '#EDEFEC', 7],
    ['words about grade on the tolerance band', '#8E0152', '#FDE0EF', 7],
    ['a stop on its tint', '#8A2B00', '#FBE9DF', 7],
    ['focus ring on white', '#0072B2', '#FFFFFF', 5],
  ])('%s is readable', (_what, one, two, least) => {
    expect(contrastOf(one, two)).toBeGreaterThan(least);
  });
});
