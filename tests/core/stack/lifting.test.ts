import { expect, test } from 'vitest';
import { heavyMass, heavyRings, liftLimitText } from '#core/stack/lifting.ts';
import { formatMass } from '#core/units/mass.ts';

const rings = [{ id: 'A', massKg: 28 }, { id: 'B', massKg: 23 }, { id: 'C', massKg: null }, { id: 'D' }];

test('only what is heavier than the limit takes two; what nobody weighed is not said to be light or heavy', () => {
  expect(rings.map(({ id }) => heavyMass(id, rings, 23))).toEqual([28, null, null, null]);
  expect(heavyMass('B', rings, 22.9)).toBe(23);
  expect(heavyMass('X', rings, 23)).toBeNull();
  expect(heavyMass('A', undefined, 23)).toBeNull();
});

test('a stack names each size once, with all its places from the bottom', () => {
  const stack = ['A', 'B', 'A', 'D'].map((ring) => ({ ring }));
  expect(heavyRings(stack, rings, 23)).toEqual([{ ring: 'A', places: [1, 3], massKg: 28 }]);
  expect(heavyRings([], rings, 23)).toEqual([]);
});

test('in pounds by the exact pound; a limit is never made greater by its rounding', () => {
  // NIOSH gives its load constant of 23 kg as 51 lb (50.7); cut off it stays below.
  expect(liftLimitText(23)).toBe('23 kg (50 lb)');
  expect(formatMass(28, 'in')).toBe('62 lb');
  expect(formatMass(28.12272694, 'in')).toBe('62 lb');
  expect(formatMass(11.4, 'mm')).toBe('11 kg');
});
