import { describe, expect, it } from 'vitest';
import { readSize, readSizes, sizesText, sizeText } from '../../web/grade/lengths.ts';
import {
  type Corner,
  cornersOf,
  faultOfOutline,
  idFrom,
  outlineOfLine,
  polygonOf,
} from '../../web/grade/outline.ts';
import type { Units } from '../../web/units.ts';

const inches: Units = { small: 'decimalInches', smallUnit: 'in', elevation: 'us-ft' };
const millimetres: Units = { small: 'millimetres', smallUnit: 'mm', elevation: 'm' };

describe('sizes typed for a zone', () => {
  it('are in the unit that the field names unless they say another; the inch is 25.4 mm (NIST SP 811)', () => {
    expect(readSize('1 1/2', inches)).toEqual({ value: expect.closeTo(0.0381, 10) });
    expect(readSize('40', millimetres)).toEqual({ value: expect.closeTo(0.04, 10) });
    expect(readSize('40 mm', inches)).toEqual({ value: expect.closeTo(0.04, 10) });
    expect(readSize(' ', inches)).toEqual({ value: 0 });
  });

  it('are refused in words where they are none', () => {
    expect(readSize('deep', inches)).toHaveProperty('fault');
    expect(readSize('-2', inches)).toHaveProperty('fault');
    expect(readSizes('1.5, 0', inches)).toHaveProperty('fault');
  });

  it('read back as they are shown', () => {
    const lifts = [0.0381, 0.0508];
    expect(sizesText(lifts, inches)).toBe('1 1/2 in, 2 in');
    expect(readSizes(sizesText(lifts, inches), inches)).toEqual({
      value: lifts.map((lift) => expect.closeTo(lift, 10)),
    });
    expect(sizeText(0.0127, inches)).toBe('1/2 in');
  });
});

describe('the outline of a zone', () => {
  const square: Corner[] = [
    [10, 50],
    [10.001, 50],
    [10.001, 50.001],
    [10, 50.001],
  ];

  it('closes as GeoJSON has it (RFC 7946, 3.1.6) and opens again for drawing', () => {
    const polygon = polygonOf(square);
    expect(polygon.coordinates[0]).toHaveLength(5);
    expect(polygon.coordinates[0][4]).toEqual(polygon.coordinates[0][0]);
    expect(cornersOf(polygon)).toEqual(square);
  });

  it('is refused where it crosses itself or has two corners', () => {
    expect(faultOfOutline(square)).toBeNull();
    expect(faultOfOutline(square.slice(0, 2))).toMatch(/three corners/);
    const [a, b, c, d] = square;
    expect(faultOfOutline([a, c, b, d])).toMatch(/crosses itself/);
  });

  it('is not drawn anew where it has holes', () => {
    const [ring] = polygonOf(square).coordinates as number[][][];
    expect(cornersOf({ type: 'Polygon', coordinates: [ring, ring] })).toBeNull();
  });

  it('may be that of a line, whose repeated end is dropped', () => {
    const line = (coordinates: number[][]) =>
      ({ geometry: { type: 'LineString', coordinates } }) as Parameters<typeof outlineOfLine>[0];
    expect(outlineOfLine(line([...square, square[0]]))).toEqual(square);
    expect(outlineOfLine(line(square.slice(0, 2)))).toBeNull();
  });

  it('gets an id from its name that no other has', () => {
    expect(idFrom('Mill & fill, east', [])).toBe('mill-fill-east');
    expect(idFrom('Mill & fill, east', ['mill-fill-east'])).toBe('mill-fill-east-2');
    expect(idFrom('...', [])).toBe('zone');
  });
});
