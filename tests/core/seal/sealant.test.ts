import { describe, expect, it } from 'vitest';
import {
  beadLength,
  cartridgesFor,
  cubicInch,
  fluidOunce,
  lengthFrom,
  litre,
  rollsFor,
  roundSection,
  stripSection,
  usGallon,
} from '#core/seal/sealant.ts';

const inch = 0.0254;
const foot = 12 * inch;
const feet = (ounces: number, section: number) => lengthFrom(ounces * fluidOunce, section) / foot;
const strip = (width: number, depth: number) => stripSection(width * inch, depth * inch);

describe('volumes of sealant', () => {
  it('are exact: a gallon is 231 cubic inches and 128 ounces (NIST Handbook 44, appendix C)', () => {
    expect((128 * fluidOunce) / usGallon).toBeCloseTo(1, 14);
    expect(fluidOunce / cubicInch).toBeCloseTo(1.8046875, 12);
    expect(usGallon / litre).toBeCloseTo(3.785411784, 12);
  });

  // Recomputed from the definition.
  it.each([
    [10.1, 18.2273],
    [10.3, 18.588],
    [20, 36.094],
    [29, 52.336],
  ])('of a cartridge of %f fl oz are %f cubic inches', (ounces, cubicInches) => {
    expect((ounces * fluidOunce) / cubicInch).toBeCloseTo(cubicInches, 3);
  });

  it('of a cartridge of 310 ml are 18.917 cubic inches', () => {
    expect((0.31 * litre) / cubicInch).toBeCloseTo(18.917, 3);
  });

  // midwestsealantsupply.com prints rounded volumes for its sizes.
  it.each([
    [10.1, 18.3],
    [20, 36.6],
    [27, 48.7],
    [30, 54.1],
  ])("of %f fl oz agree within 1.5 % with a supplier's rule, %f cubic inches", (ounces, printed) => {
    expect(Math.abs((ounces * fluidOunce) / cubicInch / printed - 1)).toBeLessThan(0.015);
  });

  it('hold 0.554 ounces a cubic inch, not the 0.542 that the text at angi.com multiplies by', () => {
    expect(cubicInch / fluidOunce).toBeCloseTo(0.554, 3);
    expect(Math.abs(cubicInch / fluidOunce - 0.542)).toBeGreaterThan(0.01);
  });
});

describe('the length of a bead', () => {
  // Feet of a 10.1 fl oz cartridge and of a gallon, recomputed. 308 ft a gallon is what data sheets print.
  it.each([
    [1 / 4, 1 / 8, 48.61, 616.0],
    [1 / 4, 1 / 4, 24.3, 308.0],
    [3 / 8, 1 / 4, 16.2, 205.3],
    [1 / 2, 1 / 4, 12.15, 154.0],
    [3 / 8, 3 / 8, 10.8, 136.9],
    [1 / 2, 3 / 8, 8.1, 102.7],
    [1 / 2, 1 / 2, 6.08, 77.0],
    [3 / 4, 1 / 2, 4.05, 51.3],
  ])('%f x %f in is %f ft a cartridge and %f ft a gallon', (width, depth, cartridge, gallon) => {
    expect(Math.abs(feet(10.1, strip(width, depth)) - cartridge)).toBeLessThan(0.0051);
    expect(Math.abs(feet(128, strip(width, depth)) - gallon)).toBeLessThan(0.051);
  });

  it.each([
    [1 / 4, 30.94, 392.2],
    [3 / 8, 13.75, 174.3],
    [1 / 2, 7.74, 98.0],
    [5 / 8, 4.95, 62.7],
    [3 / 4, 3.44, 43.6],
  ])('of %f in diameter is %f ft a cartridge and %f ft a gallon', (diameter, cartridge, gallon) => {
    expect(Math.abs(feet(10.1, roundSection(diameter * inch)) - cartridge)).toBeLessThan(0.0051);
    expect(Math.abs(feet(128, roundSection(diameter * inch)) - gallon)).toBeLessThan(0.051);
  });

  // angi.com, a 10 oz tube, columns of 1/4 and 1/2 in, whole feet.
  it.each([
    [1 / 4, 1 / 8, 48],
    [1 / 4, 3 / 8, 16],
    [1 / 4, 1 / 2, 12],
    [1 / 2, 1 / 8, 24],
    [1 / 2, 3 / 8, 8],
    [1 / 2, 1 / 2, 6],
  ])('%f x %f in agrees with a public table: %f ft from 10 oz', (width, depth, printed) => {
    expect(Math.round(feet(10, strip(width, depth)))).toBe(printed);
  });

  // Public tables that are wrong: angi.com's 3/8 in column; a chart at constructionmaterialcalculator.online, twice too long.
  it.each([
    [3 / 8, 1 / 8, 36, 32.1],
    [3 / 8, 3 / 8, 12, 10.7],
    [3 / 8, 1 / 2, 9, 8.0],
  ])('%f x %f in is not the %f ft of a wrong public table but %f', (width, depth, printed, right) => {
    expect(feet(10, strip(width, depth))).toBeCloseTo(right, 1);
    expect(Math.abs(feet(10, strip(width, depth)) / printed - 1)).toBeGreaterThan(0.1);
  });

  it('1/4 x 1/4 in is less than half of what a wrong public chart says, 50 to 55 ft', () => {
    expect(feet(10.1, strip(1 / 4, 1 / 4))).toBeLessThan(50 / 2);
  });
});

/** A worked example of the trade: common practice, no source. Five beads on a circle of 29 in, 5 % for splice and waste. */
describe('sealant for three rings with the bottom joint doubled', () => {
  const one = beadLength(29 * inch, 0.05);

  it('is 478.3 in of bead', () => {
    expect((5 * beadLength(29 * inch, 0)) / inch).toBeCloseTo(455.5, 1);
    expect((5 * one) / inch).toBeCloseTo(478.3, 1);
  });

  it('is 93.9 cubic inches of 1/2 in bead: six cartridges of 10.1 fl oz', () => {
    const section = roundSection(inch / 2);
    expect((5 * one * section) / cubicInch).toBeCloseTo(93.9, 1);
    expect(cartridgesFor(5 * one, section, 10.1 * fluidOunce)).toBe(6);
    expect(cartridgesFor(10.1 * fluidOunce, 1, 10.1 * fluidOunce)).toBe(1);
    expect(cartridgesFor(0, section, 10.1 * fluidOunce)).toBe(0);
  });

  it('is four 12 ft rolls by length, and five where no bead may be pieced together', () => {
    const roll = 12 * foot;
    expect(rollsFor({ beads: 5, length: one }, { roll, mostSplices: 0 })).toEqual({
      byLength: 4,
      bySplices: 5,
    });
    expect(rollsFor({ beads: 5, length: one }, { roll, mostSplices: null }).bySplices).toBe(4);
    expect(rollsFor({ beads: 5, length: one }, { roll, mostSplices: 1 }).bySplices).toBe(4);
  });

  it('cuts several short beads from one roll, and refuses a bead that no roll is long enough for', () => {
    expect(rollsFor({ beads: 5, length: 1 }, { roll: 2.5, mostSplices: 0 }).bySplices).toBe(3);
    expect(rollsFor({ beads: 1, length: 3 }, { roll: 2.5, mostSplices: 0 })).toEqual({
      byLength: 2,
      bySplices: null,
    });
    expect(rollsFor({ beads: 1, length: 3 }, { roll: 2.5, mostSplices: 1 }).bySplices).toBe(2);
    expect(rollsFor({ beads: 0, length: 3 }, { roll: 2.5, mostSplices: 1 })).toEqual({
      byLength: 0,
      bySplices: 0,
    });
  });
});
