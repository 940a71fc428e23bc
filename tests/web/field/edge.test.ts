import { describe, expect, it } from 'vitest';
import { edgePlaces, lineFrom } from '../../../web/field/hole/steps/edge-places.ts';
import { fieldUnits } from '../../../web/field/hole/units.ts';
import { inch } from './card.ts';

const units = fieldUnits({ displayUnit: 'in', elevationUnit: 'ft' });
const [lengthM, radius] = [120 * inch, 13 * inch];
const places = edgePlaces(lengthM, radius);

describe('where a straightedge is read', () => {
  it('is from end to end, on mat and casting, with its middle over the cover', () => {
    expect(places).toHaveLength(9);
    expect(places.map(({ atM }) => atM)).toEqual(places.map(({ atM }) => atM).toSorted((a, b) => a - b));
    expect([places[0].atM, places[8].atM]).toEqual([0, 3.048]);
    const onCasting = places.filter(({ atM }) => Math.abs(atM - lengthM / 2) < radius);
    expect(onCasting.map(({ on }) => on)).toEqual(['casting', 'casting', 'casting']);
    expect(places.filter(({ on }) => on === 'mat')).toHaveLength(6);
  });

  it('is nowhere under an edge that does not reach the mat on both sides', () => {
    expect(edgePlaces(26 * inch, radius)).toEqual([]);
  });
});

describe('readings as they are typed', () => {
  const line = (texts: Record<number, string>) => lineFrom(places, texts, { lengthM, units });

  it('make a line whose gap is core’s; places that were not read are left out', () => {
    const low = line({ 0: '0', 2: '0', 4: '1/4', 6: '0' })!;
    expect(low.gapM / inch).toBeCloseTo(0.25, 9);
    expect(low.readings).toHaveLength(4);
    expect(low.readings![2]).toMatchObject({ on: 'casting', downM: expect.closeTo(0.25 * inch, 9) });
  });

  it('make none while one cannot be read, is over the edge, or too few were taken', () => {
    expect(line({ 0: '0', 4: '1/4', 6: '?' })).toBeNull();
    expect(line({ 0: '0', 4: '−1/4', 6: '0' })).toBeNull();
    expect(line({ 0: '0', 6: '0' })).toBeNull();
    expect(line({ 0: '0', 2: '0', 6: '1/4' })).toBeNull();
  });
});
