import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { comma, readDecimal } from '#core/units/decimal.ts';
import { metresOfHeading, readHeading } from '#core/units/heading.ts';

describe('readDecimal', () => {
  test('rounds exactly as Number() does', () => {
    fc.assert(
      fc.property(
        fc.oneof(
          fc.double({ noNaN: true, noDefaultInfinity: true }).map(String),
          fc
            .tuple(fc.integer({ min: -9_999_999, max: 9_999_999 }), fc.nat({ max: 99_999_999 }))
            .map(([whole, part]) => `${whole}.${part}`),
        ),
        (text) => {
          expect(readDecimal(text)).toBe(Number(text) + 0);
          expect(readDecimal(`a,${text},b`, 2, 2 + text.length)).toBe(Number(text) + 0);
        },
      ),
      { numRuns: 1000 },
    );
  });

  test.each([
    ['.5', 0.5],
    ['5.', 5],
    ['+5.25', 5.25],
    ['−5.25', -5.25],
    ['-0.00', 0],
    ['1e3', 1000],
    ['−1E-2', -0.01],
    ['12345678901234567890', 12345678901234567000],
    ['0.1234567890123456789', 0.12345678901234568],
  ])('%s', (text, value) => {
    expect(readDecimal(text)).toBe(value);
  });

  test.each([
    '',
    '.',
    '-',
    '+',
    '1.2.3',
    '1,2',
    '0x10',
    'NaN',
    'Infinity',
    '1e999',
    ' 1',
    '1 ',
    '1e',
    '--1',
    '1_000',
  ])('"%s" is no number', (text) => {
    expect(readDecimal(text)).toBeNaN();
  });

  test('a decimal comma is read when asked for, and then a point is not', () => {
    const read = (text: string): number => readDecimal(text, 0, text.length, comma);
    expect(read('5012345,678')).toBe(5012345.678);
    expect(read('1,5e2')).toBe(150);
    expect(read('12')).toBe(12);
    expect(read('1.5')).toBeNaN();
    expect(read('1.234,5')).toBeNaN();
  });
});

describe('headings', () => {
  test.each([
    ['rim_elevation', 'rim_elevation', null],
    ['rim_elevation_m', 'rim_elevation', 'm'],
    ['Rim Elevation (m)', 'rim_elevation', 'm'],
    ['frame_height_us-ft', 'frame_height', 'us-ft'],
    ['Frame height [US ft]', 'frame_height', 'us-ft'],
    ['northing_ftUS', 'northing', 'us-ft'],
    [' sigma_mm ', 'sigma', 'mm'],
    ['m', 'm', null],
    ['road_bearing_deg', 'road_bearing_deg', null],
  ])('"%s" is %s in %s', (text, name, unit) => {
    expect(readHeading(text)).toEqual({ name, unit });
  });

  test('a plain ft is the foot of the coordinate system, never a guess from the word', () => {
    const surveyFoot = 1200 / 3937;
    expect(metresOfHeading('ft', surveyFoot)).toBe(surveyFoot);
    expect(metresOfHeading('ft', 0.3048)).toBe(0.3048);
    expect(metresOfHeading('ft', 1)).toBe(0.3048);
    expect(metresOfHeading('us-ft', 0.3048)).toBe(surveyFoot);
    expect(metresOfHeading('m', surveyFoot)).toBe(1);
    expect(metresOfHeading(null, surveyFoot)).toBe(surveyFoot);
  });
});
