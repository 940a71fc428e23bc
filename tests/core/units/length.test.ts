import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  fromMetres,
  type LengthUnit,
  metresPer,
  parseLength,
  toMetres,
  unitFromWord,
} from '#core/units/length.ts';

const units: LengthUnit[] = ['m', 'mm', 'cm', 'in', 'ft', 'us-ft'];

describe('factors', () => {
  // 85 FR 62698 (2020-10-05): 1 ft = 0.3048 m exactly; 1 US survey foot = 1200/3937 m exactly.
  test('the two feet are those of 85 FR 62698', () => {
    expect(metresPer.ft).toBe(0.3048);
    expect(metresPer['us-ft']).toBeCloseTo(0.304800609601219, 15);
    expect(metresPer['us-ft'] / metresPer.ft - 1).toBeCloseTo(2.000004e-6, 12);
  });

  test('the survey foot moves a northing of 7,000,000 ft by 14.0 ft and an elevation of 5280 ft by 0.127 in', () => {
    // Two parts per million of the definition above: plain arithmetic.
    const shift = (feet: number): number => feet * (metresPer['us-ft'] / metresPer.ft - 1);
    expect(shift(7_000_000)).toBeCloseTo(14.0, 3);
    expect(shift(7_000_000) * 0.04).toBeCloseTo(0.56, 4);
    expect(shift(5280) * 12).toBeCloseTo(0.127, 3);
  });

  test('an easting of 2,200,000 US survey feet is 670,561.3411 m, 1.3411 m more than with the other foot', () => {
    // Factor 1200/3937; the fault is that of qgis/QGIS#26969 and proj4js/proj4js#138.
    expect(toMetres(2_200_000, 'us-ft')).toBeCloseTo(670_561.3411, 4);
    expect(toMetres(2_200_000, 'us-ft') - toMetres(2_200_000, 'ft')).toBeCloseTo(1.3411, 4);
    expect(toMetres(1000, 'us-ft') - toMetres(1000, 'ft')).toBeCloseTo(0.00061, 5);
  });

  test('metres and back is the same number for every unit', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...units),
        fc.double({ min: -1e7, max: 1e7, noNaN: true }),
        (unit, value) => {
          expect(fromMetres(toMetres(value, unit), unit)).toBeCloseTo(value, 6);
        },
      ),
    );
  });
});

describe('parseLength', () => {
  test.each([
    ['0.25in', 0.00635],
    ['1/4 in', 0.00635],
    ['¼"', 0.00635],
    ['13 7/8 in', 13.875 * 0.0254],
    ['6mm', 0.006],
    ['6 MM', 0.006],
    ['1.5 cm', 0.015],
    ['2m', 2],
    ['2.5 ft', 0.762],
    ["2'", 0.6096],
    ['1 us-ft', 1200 / 3937],
    ['1 ftUS', 1200 / 3937],
    ['-3 mm', -0.003],
  ])('%s', (text, metres) => {
    expect(parseLength(text)).toBeCloseTo(metres, 12);
  });

  test('a bare number is refused, since it could be inches as well as millimetres', () => {
    expect(parseLength('0.25', 'tolerance')).toMatchObject({
      code: 'noUnit',
      row: null,
      column: 'tolerance',
      value: '0.25',
      message: expect.stringContaining('inches or millimetres'),
    });
    expect(parseLength('1/4')).toMatchObject({ code: 'noUnit', column: 'length' });
  });

  test.each([
    ['', 'notALength'],
    ['--', 'notALength'],
    ['6 furlongs', 'unknownUnit'],
    ['6 toString', 'unknownUnit'],
    ['mm', 'notALength'],
    ['0,25in', 'notALength'],
    ['1/0 in', 'notALength'],
    ['1e3 mm', 'unknownUnit'],
  ])('"%s" is refused as %s', (text, code) => {
    expect(parseLength(text)).toMatchObject({ code, value: text });
  });

  test('never throws, and gives a finite length or a problem', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        const read = parseLength(text);
        if (typeof read === 'number') expect(Number.isFinite(read)).toBe(true);
        else expect(read.message).not.toBe('');
      }),
    );
  });
});

test('a unit is known by its words, and by nothing that objects inherit', () => {
  expect(unitFromWord(' Inches ')).toBe('in');
  expect(unitFromWord('us_ft')).toBe('us-ft');
  expect(unitFromWord('constructor')).toBeNull();
});
