import { describe, expect, it } from 'vitest';
import { entryText, type Key, press, readEntry, type Way } from '../../../web/field/hole/keys/entry.ts';

const digits = (text: string): Key[] => [...text].map((digit) => ({ key: 'digit', digit: Number(digit) }));
const part = (sixteenths: number): Key => ({ key: 'part', sixteenths });
const typed = (keys: Key[], way: Way = 'inches', from = '') =>
  keys.reduce((text, key) => press(text, key, way), from);
const understood = (text: string, way: Way, shown: 'in' | 'mm' = 'in') => {
  const read = readEntry(text, way, shown);
  return read === null ? null : 'fault' in read ? read.fault : read.echo;
};

describe('the pad', () => {
  it('writes whole inches and a fraction in any order, and a second fraction in place of the first', () => {
    expect(typed([...digits('13'), part(14)])).toBe('13 7/8');
    expect(typed([part(14), ...digits('13')])).toBe('13 7/8');
    expect(typed([...digits('13'), part(14), part(2)])).toBe('13 1/8');
    expect(typed([part(8)])).toBe('1/2');
  });

  it('steps by a sixteenth, and never below nothing', () => {
    expect(typed([{ key: 'step', sixteenths: 1 }], 'inches', '13 7/8')).toBe('13 15/16');
    expect(typed([{ key: 'step', sixteenths: 1 }], 'inches', '13 15/16')).toBe('14');
    expect(typed([{ key: 'step', sixteenths: -1 }], 'inches', '0')).toBe('0');
  });

  it('takes the fraction away first, then digit by digit', () => {
    const back: Key = { key: 'back' };
    expect(typed([back], 'inches', '13 7/8')).toBe('13');
    expect(typed([back, back], 'inches', '13 7/8')).toBe('1');
    expect(typed([back], 'inches', '7/8')).toBe('');
    expect(typed([back], 'inches', '−7/8')).toBe('−');
  });

  it('writes tenths of a foot with one point, millimetres without any fraction', () => {
    const point: Key = { key: 'point' };
    expect(typed([point, ...digits('65'), point], 'feet')).toBe('0.65');
    expect(typed([...digits('201'), part(8)], 'millimetres')).toBe('201');
  });

  it('turns proud into low and back without touching the size', () => {
    const side: Key = { key: 'side' };
    expect(typed([part(2), side])).toBe('−1/8');
    expect(typed([part(2), side, side])).toBe('1/8');
    expect(typed([side, part(4)])).toBe('−1/4');
  });
});

describe('what is understood of a size', () => {
  it('echoes tenths of a foot and millimetres as inches: 0.65 ft is 7.8 in', () => {
    // 0.65 x 12 = 7.8 in, the trap of inches against tenths of a foot; nearest sixteenth 7 13/16.
    expect(understood('0.65', 'feet')).toBe('0.65 ft = 7 13/16 in');
    expect(understood('201', 'millimetres')).toBe('201 mm = 7 15/16 in');
    expect(understood('13 7/8', 'inches')).toBe('13 7/8 in');
    expect(understood('13 7/8', 'inches', 'mm')).toBe('13 7/8 in = 352 mm');
    expect(understood('201', 'millimetres', 'mm')).toBe('201 mm');
  });

  it('lets a unit that is typed win over the way', () => {
    expect(understood('0.65 ft', 'inches')).toBe('0.65 ft = 7 13/16 in');
    expect(understood('352mm', 'inches')).toBe('352mm = 13 7/8 in');
    expect(understood('1\' 1 7/8"', 'millimetres')).toBe('1\' 1 7/8" = 13 7/8 in');
  });

  it('refuses what is no size or far too long, and takes nothing for nothing', () => {
    expect(understood('abc', 'inches')).toMatch(/not a size/);
    expect(understood('13', 'feet')).toBe('13 ft is too much. Wrong unit?');
    expect(understood('  ', 'inches')).toBeNull();
    expect(understood('−', 'inches')).toBeNull();
    expect(understood('1/0', 'inches')).toMatch(/not a size/);
  });

  it('comes back from metres as it would be typed', () => {
    expect(entryText(0.3524, 'inches')).toBe('13 7/8');
    expect(entryText(0.3048, 'feet')).toBe('1');
    expect(entryText(0.201, 'millimetres')).toBe('201');
    expect(entryText(5.16, 'metres')).toBe('5.16');
    expect(entryText(0, 'feet')).toBe('0');
  });
});
