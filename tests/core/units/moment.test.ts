import fc from 'fast-check';
import { expect, test } from 'vitest';
import { hoursAfter } from '#core/units/moment.ts';

test('hours after a moment are those of the platform’s own calendar', () => {
  const moments = fc.date({
    min: new Date('0000-01-02T00:00:00Z'),
    max: new Date('9999-12-01T00:00:00Z'),
    noInvalidDate: true,
  });
  fc.assert(
    fc.property(moments, fc.integer({ min: 0, max: 400 }), (at, quarters) => {
      const after = new Date(at.getTime() + quarters * 900_000).toISOString();
      expect(hoursAfter(at.toISOString(), quarters / 4)).toBe(after);
    }),
    { numRuns: 2000 },
  );
  expect(hoursAfter('2024-02-28T23:30:00+01:00', 24)).toBe('2024-02-29T22:30:00.000Z');
});

test('no moment, or one past the calendar, has none after it', () => {
  expect(hoursAfter('soon', 1)).toBeNull();
  expect(hoursAfter('9999-12-31T23:00:00Z', 2)).toBeNull();
  expect(hoursAfter('-000001-12-31T12:00:00Z', 2)).toBeNull();
});
