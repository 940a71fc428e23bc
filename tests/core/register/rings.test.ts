import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readRingCatalogue } from '#core/register/rings.ts';

const inches = {
  unit: 'in',
  indexPositions: 24,
  indexFrom: 'road',
  maxRings: 6,
  maxChimney: 14,
  joint: { base: 0.1, between: 0.2, top: 0.3 },
  rings: [
    { id: 'F-100', thin: 1, thick: 1, outerDiameter: 34, maxPerStack: 3 },
    { id: 'T-A', thin: 0.75, thick: 1.5, outerDiameter: 34, maxPerStack: 2, cost: 55 },
  ],
};

describe('a ring catalogue', () => {
  test('is read into metres, and keeps the unit that people read', () => {
    const read = readRingCatalogue(inches);
    expect(read).toMatchObject({
      unit: 'in',
      indexPositions: 24,
      indexFrom: 'road',
      maxRings: 6,
      rings: [
        { id: 'F-100', maxPerStack: 3, cost: null },
        { id: 'T-A', maxPerStack: 2, cost: 55 },
      ],
    });
    if (Array.isArray(read)) throw new Error('refused');
    expect(read.maxChimney).toBeCloseTo(0.3556, 12);
    expect(read.joint.between).toBeCloseTo(0.00508, 12);
    expect([read.rings[1].thin, read.rings[1].thick]).toEqual([0.75 * 0.0254, 1.5 * 0.0254]);
    expect(read.rings[0].outerDiameter).toBeCloseTo(0.8636, 12);
  });

  test('in millimetres points its marks to grid north unless it says otherwise', () => {
    const { indexFrom: _, ...rest } = inches;
    expect(readRingCatalogue({ ...rest, unit: 'mm' })).toMatchObject({
      unit: 'mm',
      indexFrom: 'north',
      maxChimney: 0.014,
    });
    expect(
      readRingCatalogue({ ...rest, indexFrom: 'north', rings: [{ ...inches.rings[0], cost: null }] }),
    ).toMatchObject({ indexFrom: 'north', rings: [{ cost: null }] });
  });
});

describe('what a ring weighs', () => {
  const massOf = (rest: object) => {
    const read = readRingCatalogue({ ...inches, rings: [{ ...inches.rings[0], ...rest }] });
    return Array.isArray(read) ? read.map(({ message }) => message) : read.rings[0].mass;
  };

  test('is given in kilograms or pounds of 0.45359237 kg (international yard and pound agreement, 1959), or not', () => {
    expect(massOf({ massKg: 28 })).toBe(28);
    expect(massOf({ weightLb: 62 })).toBeCloseTo(28.12272694, 8);
    expect(massOf({})).toBeNull();
    expect(massOf({ massKg: null })).toBeNull();
  });

  test('is above 0, and given once', () => {
    expect(massOf({ massKg: 0 })).toEqual([expect.stringMatching(/above 0/)]);
    expect(massOf({ weightLb: 5000 })).toEqual([expect.stringMatching(/at most 2000/)]);
    expect(massOf({ massKg: 28, weightLb: 62 })).toEqual([expect.stringMatching(/one of them/)]);
  });
});

describe('what is wrong is named by ring, field, value and rule', () => {
  const flat = inches.rings[0];
  test.each([
    [null, 'catalogue', 'must be an object'],
    [[], 'catalogue', 'must be an object'],
    [{ ...inches, unit: 'ft' }, 'unit', 'must be "in" or "mm"'],
    [{ ...inches, unit: undefined }, 'unit', 'must be "in" or "mm"'],
    [{ ...inches, colour: 1 }, 'colour', 'not a field'],
    [{ ...inches, indexFrom: 'east' }, 'indexFrom', '"road" or "north"'],
    [{ ...inches, indexPositions: 1.5 }, 'indexPositions', 'whole number'],
    [{ ...inches, indexPositions: 1e9 }, 'indexPositions', 'at most 360; 0 stands for any angle'],
    [{ ...inches, maxRings: 51 }, 'maxRings', 'at most 50'],
    [{ ...inches, indexPositions: -1 }, 'indexPositions', '0 or more'],
    [{ ...inches, maxRings: undefined }, 'maxRings', 'missing'],
    [{ ...inches, maxChimney: 0 }, 'maxChimney', 'above 0'],
    [{ ...inches, maxChimney: '14' }, 'maxChimney', 'must be a number above 0'],
    [{ ...inches, joint: 3 }, 'joint', 'must be an object'],
    [{ ...inches, joint: { base: 0, between: 0, top: -1 } }, 'joint.top', '0 or more'],
    [{ ...inches, joint: { base: 0, between: 0, top: 0, side: 0 } }, 'joint.side', 'not a field'],
    [{ ...inches, rings: [] }, 'rings', 'at least one'],
    [{ ...inches, rings: {} }, 'rings', 'at least one'],
    [{ ...inches, rings: [{ ...flat, thin: 2 }] }, 'ring F-100.thin', 'must not be above thick (1)'],
    [{ ...inches, rings: [{ ...flat, thick: -1 }] }, 'ring F-100.thick', 'above 0'],
    [{ ...inches, rings: [{ ...flat, thin: Number.NaN }] }, 'ring F-100.thin', 'must be a number'],
    [{ ...inches, rings: [flat, flat] }, 'ring F-100.id', 'second ring'],
    [{ ...inches, rings: [{ ...flat, id: 7 }] }, 'rings[0].id', 'as text'],
    [{ ...inches, rings: [{ ...flat, id: ' ' }] }, 'rings[0].id', 'as text'],
    [{ ...inches, rings: [{ ...flat, weight: 7 }] }, 'ring F-100.weight', 'not a field'],
    [{ ...inches, rings: [{ ...flat, cost: -7 }] }, 'ring F-100.cost', '0 or more'],
    [{ ...inches, rings: [{ ...flat, maxPerStack: 0.5 }] }, 'ring F-100.maxPerStack', 'whole number'],
  ])('%j', (json, column, rule) => {
    expect(readRingCatalogue(json)).toMatchObject([
      { code: 'ringCatalogue', row: null, column, message: expect.stringContaining(rule) },
    ]);
  });

  test('a ring that is no object, and all faults at once', () => {
    const read = readRingCatalogue({ ...inches, unit: 'cm', rings: ['F-100'] });
    expect(read).toContainEqual(expect.objectContaining({ column: 'unit', value: 'cm' }));
    expect(read).toContainEqual(expect.objectContaining({ column: 'rings.0', value: 'F-100' }));
    expect(read).toContainEqual(expect.objectContaining({ column: 'rings[0].thin', value: null }));
  });

  test('never throws, whatever the JSON', () => {
    fc.assert(
      fc.property(fc.oneof(fc.jsonValue(), fc.record({ ...mapJson(inches) })), (json) => {
        const read = readRingCatalogue(json);
        expect(Array.isArray(read) ? read.length > 0 : read.rings.length > 0).toBe(true);
      }),
    );
  });
});

/** Every field either as it should be or anything else. */
function mapJson(value: Record<string, unknown>) {
  return Object.fromEntries(
    Object.entries(value).map(([key, good]) => [key, fc.oneof(fc.constant(good), fc.jsonValue())]),
  );
}
