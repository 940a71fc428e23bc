import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { distanceToEdge, faultOfRing, sideOf, twiceArea } from '#core/treatment/polygon.ts';
import type { PavingTreatment, TreatmentZone, ZonePolygon, ZoneRing } from '#core/treatment/types.ts';
import { layOutZones, treatmentAt } from '#core/treatment/zones.ts';

const square = (west: number, south: number, size: number): ZoneRing => [
  [west, south],
  [west + size, south],
  [west + size, south + size],
  [west, south + size],
  [west, south],
];

/** A letter C that opens to the east, with a hole in its back. */
const letter: ZonePolygon = [
  [
    [0, 0],
    [10, 0],
    [10, 3],
    [4, 3],
    [4, 7],
    [10, 7],
    [10, 10],
    [0, 10],
    [0, 0],
  ],
  square(1, 4, 2),
];

const treatment: PavingTreatment = {
  millDepth: 0.04,
  millClearance: 0.025,
  maxRiser: 0,
  lifts: [0.04],
  setDown: null,
};
const zone = (id: string, polygon: ZonePolygon, change: Partial<TreatmentZone> = {}): TreatmentZone => ({
  ...treatment,
  lifts: [0.04],
  id,
  name: id,
  polygons: [polygon],
  ...change,
});

const at = (east: number, north: number, rimRadius = 0.33) => ({ east, north, rimRadius, roadBearing: null });
const answer = (zones: TreatmentZone[], east: number, north: number) =>
  treatmentAt({ everywhere: null, zones: layOutZones(zones) }, at(east, north));

describe('a place in a polygon', () => {
  it.each([
    [0.5, 5, 'inside'],
    [8, 1, 'inside'],
    [8, 5, 'outside'],
    [2, 5, 'outside'],
    [-1, 3, 'outside'],
    [20, 7, 'outside'],
    [2, 3, 'inside'],
    [10, 8, 'edge'],
    [4, 5, 'edge'],
    [1.0004, 5, 'edge'],
    [10, 10, 'edge'],
  ])('of the shape of a C with a hole: %d, %d is %s', (east, north, side) => {
    expect(sideOf([letter], east, north)).toBe(side);
  });

  it('is not made part of a shape by a hole that was drawn outside it', () => {
    expect(sideOf([[square(0, 0, 10), square(20, 20, 5)]], 22, 22)).toBe('outside');
    expect(sideOf([[square(0, 0, 10)], [square(5, 5, 10)]], 7, 7)).toBe('inside');
  });

  it('is told the same far from the origin and however the ring is turned', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -2, max: 12, noNaN: true }),
        fc.double({ min: -2, max: 12, noNaN: true }),
        fc.integer({ min: 0, max: 7 }),
        fc.boolean(),
        (east, north, turn, backward) => {
          fc.pre(distanceToEdge([letter], east, north) > 0.002);
          const far = letter.map((ring) => {
            const open = ring.slice(1).map(([e, n]) => [e + 612_345.6, n + 4_876_543.2] as const);
            const first = turn % open.length;
            const turned = [...open.slice(first), ...open.slice(0, first)];
            const closed = [...turned, turned[0]];
            return backward ? closed.reverse() : closed;
          });
          expect(sideOf([far], east + 612_345.6, north + 4_876_543.2)).toBe(sideOf([letter], east, north));
        },
      ),
    );
  });

  it('of a convex ring is where every side turns the same way, by the sign of the cross products', () => {
    const corners: ZoneRing = [0, 1, 2, 3, 4, 0].map((k) => {
      const angle = (2 * Math.PI * k) / 5;
      return [7 * Math.cos(angle), 7 * Math.sin(angle)] as const;
    });
    fc.assert(
      fc.property(
        fc.double({ min: -9, max: 9, noNaN: true }),
        fc.double({ min: -9, max: 9, noNaN: true }),
        (e, n) => {
          fc.pre(distanceToEdge([[corners]], e, n) > 0.002);
          const left = corners
            .slice(1)
            .every(
              ([e2, n2], i) =>
                (e2 - corners[i][0]) * (n - corners[i][1]) - (n2 - corners[i][1]) * (e - corners[i][0]) > 0,
            );
          expect(sideOf([[corners]], e, n)).toBe(left ? 'inside' : 'outside');
        },
      ),
    );
  });
});

describe('a ring that bounds no area', () => {
  const bow: ZoneRing = [
    [0, 0],
    [10, 10],
    [10, 0],
    [0, 10],
    [0, 0],
  ];
  it.each([
    [square(0, 0, 10), null],
    [letter[0], null],
    [bow, 'crosses itself: sides 1 and 3'],
    [square(0, 0, 10).slice(0, 4), 'does not close: the last corner must repeat the first'],
    [square(0, 0, 10).slice(0, 3), 'needs at least three corners and the first one again'],
    [square(0, 0, 0.9), 'holds less than a square metre'],
  ])('%#: says why', (ring, fault) => {
    expect(faultOfRing(ring)).toBe(fault);
  });

  it('has its area from its corners', () => {
    expect(twiceArea(letter[0]) / 2).toBeCloseTo(100 - 6 * 4, 9);
    expect(twiceArea([...letter[0]].reverse()) / 2).toBeCloseTo(-76, 9);
  });
});

describe('the treatment at a cover', () => {
  const west = zone('west', [square(0, 0, 20)]);
  const east = zone('east', [square(20, 0, 20)], { millDepth: 0.05 });

  it('is that of the zone that the whole rim is in', () => {
    expect(answer([west, east], 10, 10)).toMatchObject({ found: 'is', zone: { id: 'west' } });
    expect(answer([west, east], 20.34, 10)).toMatchObject({ found: 'is', zone: { id: 'east' } });
  });

  it('is said to change where the edge of a zone runs under the rim', () => {
    expect(answer([west, east], 19.8, 10)).toMatchObject({
      found: 'edge',
      zone: { id: 'west' },
      under: {
        distance: expect.closeTo(0.2, 9),
        names: expect.stringMatching(/"west".*"east"|"east".*"west"/),
      },
    });
    expect(answer([west], 19.8, 10)).toMatchObject({ found: 'edge', zone: { id: 'west' } });
    expect(answer([west], 20.2, 10)).toMatchObject({ found: 'edge', zone: null, treatment: null });
  });

  it('goes on over the edge of two zones that are treated alike', () => {
    const alike = zone('alike', [square(20, 0, 20)]);
    expect(answer([west, alike], 19.9, 10)).toMatchObject({ found: 'is' });
    expect(answer([west, alike], 20, 10)).toMatchObject({ found: 'is' });
  });

  it('is never guessed where zones lie over one another or there is none', () => {
    const over = zone('over', [square(5, 5, 10)], { lifts: [0.05] });
    expect(answer([west, over], 10, 10)).toEqual({ found: 'several', names: '"west", "over"' });
    expect(answer([west, east], -3, 10)).toEqual({ found: 'none', zones: true, nearest: 3 });
    expect(treatmentAt({ everywhere: null, zones: [] }, at(0, 0))).toEqual({
      found: 'none',
      zones: false,
      nearest: null,
    });
  });

  it('holds everywhere only in a project without zones', () => {
    expect(treatmentAt({ everywhere: treatment, zones: [] }, at(500, 500))).toMatchObject({
      found: 'is',
      zone: null,
    });
    expect(treatmentAt({ everywhere: treatment, zones: layOutZones([west]) }, at(500, 500))).toMatchObject({
      found: 'none',
    });
  });

  it('does not depend on the order of the zones', () => {
    const zones = [west, east, zone('over', [square(15, 15, 10)], { lifts: [] })];
    fc.assert(
      fc.property(
        fc.double({ min: -5, max: 45, noNaN: true }),
        fc.double({ min: -5, max: 25, noNaN: true }),
        (e, n) => {
          const [one, other] = [answer(zones, e, n), answer([...zones].reverse(), e, n)];
          expect(other.found).toBe(one.found);
        },
      ),
    );
  });

  it('is none, and no distance, where the zones have no area', () => {
    expect(answer([zone('empty', letter, { polygons: [] })], 5, 5)).toEqual({
      found: 'none',
      zones: true,
      nearest: null,
    });
  });
});

describe('a ring that is drawn', () => {
  it('may repeat a corner: the way to it is that to the corner', () => {
    const doubled: ZoneRing = [
      [0, 0],
      [0, 0],
      [10, 0],
      [10, 10],
      [0, 0],
    ];
    expect(distanceToEdge([[doubled]], -3, -4)).toBeCloseTo(5, 12);
  });

  it('is refused past the most corners that are taken', () => {
    const many: ZoneRing = Array.from({ length: 2001 }, (_, i) => [Math.cos(i), Math.sin(i)]);
    expect(faultOfRing(many)).toMatch(/2001 corners; at most 2000/);
  });
});
