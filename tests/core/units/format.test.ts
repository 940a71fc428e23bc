import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  fixed,
  formatDistance,
  formatElevation,
  formatFeetAndInches,
  formatPercent,
  formatSmall,
  formatStation,
  proudOrLow,
} from '#core/units/format.ts';

const inch = 0.0254;

test('small lengths carry their unit in every style', () => {
  expect(formatSmall(6.44 * inch, 'decimalInches')).toBe('6.44 in');
  expect(formatSmall(6.44 * inch, 'fractionInches')).toBe('6 7/16 in');
  expect(formatSmall(0.16358, 'millimetres')).toBe('164 mm');
  expect(formatSmall(-0.001 * inch, 'decimalInches')).toBe('0.00 in');
  expect(formatSmall(-0.25 * inch, 'decimalInches')).toBe('−0.25 in');
});

test('elevations of either foot are written ft, metres m', () => {
  expect(formatElevation((842.31 * 1200) / 3937, 'us-ft')).toBe('842.31 ft');
  expect(formatElevation(842.31 * 0.3048, 'ft', 3)).toBe('842.310 ft');
  expect(formatElevation(256.48, 'm')).toBe('256.480 m');
  expect(formatDistance(12.43, 'm')).toBe('12.4 m');
  expect(formatDistance(12.192, 'ft')).toBe('40.0 ft');
});

test('stations are written as on plans, in hundreds of feet or in kilometres', () => {
  expect(formatStation(1234.5 * 0.3048, 'ft')).toBe('12+34.5');
  expect(formatStation(123.4, 'm')).toBe('0+123.4');
  expect(formatStation(99.96 * 0.3048, 'ft')).toBe('1+00.0');
  expect(formatStation(-5, 'm')).toBe('−0+005.0');
  expect(formatStation(-0.001, 'm')).toBe('0+000.0');
});

test('a sign is always a word too', () => {
  expect(proudOrLow(0.06 * inch, 'decimalInches')).toBe('0.06 in proud');
  expect(proudOrLow(-0.003, 'millimetres')).toBe('3 mm low');
  expect(proudOrLow(-0.0001, 'millimetres')).toBe('flush');
  expect(proudOrLow(0, 'fractionInches')).toBe('flush');
  expect(proudOrLow(inch / 4, 'fractionInches')).toBe('1/4 in proud');
});

test('ratios are written in percent and elevations in feet and inches on request', () => {
  expect(formatPercent(0.025)).toBe('2.50 %');
  expect(formatPercent(-0.02, 1)).toBe('−2.0 %');
  expect(formatFeetAndInches(14.26 * 0.3048, 8)).toBe('14 ft 3 1/8 in');
});

test('no number is ever written as minus zero', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -1, max: 1, noNaN: true }),
      fc.integer({ min: 0, max: 4 }),
      (value, digits) => {
        const text = fixed(value, digits);
        expect(text).not.toContain('-');
        expect(/^−0(\.0*)?$/.test(text)).toBe(false);
        expect(Math.abs(Number(text.replace('−', '-')) - value)).toBeLessThanOrEqual(
          0.5 * 10 ** -digits + 1e-12,
        );
      },
    ),
  );
});
