import { describe, expect, it } from 'vitest';
import {
  readRoll,
  readShare,
  readSplices,
  readVolume,
  rollText,
  shareText,
  volumeText,
} from '../../web/grade/sealing.ts';

/** US fluid ounce: 231/128 cubic inches, exact (NIST Handbook 44, appendix C): 29.5735 ml. */
describe('sizes of sealants as they are typed', () => {
  it('read a bare number in the project’s unit, and another unit where it is written', () => {
    expect(readVolume('10.1', 'in')).toEqual({ value: expect.closeTo(298.69, 2) });
    expect(readVolume('10.1 fl oz', 'mm')).toEqual({ value: expect.closeTo(298.69, 2) });
    expect(readVolume('310', 'mm')).toEqual({ value: 310 });
    expect(readVolume('310 ml', 'in')).toEqual({ value: 310 });
    expect(readRoll('12', 'in')).toEqual({ value: expect.closeTo(3.6576, 9) });
    expect(readRoll('3.5', 'mm')).toEqual({ value: 3.5 });
    expect(readShare('5')).toEqual({ value: 0.05 });
    expect(readShare('7.5 %')).toEqual({ value: 0.075 });
    expect(readSplices('0')).toEqual({ value: 0 });
    expect(readSplices('Any')).toEqual({ value: 'any' });
  });

  it('are shown so that they read back as they were', () => {
    for (const unit of ['in', 'mm'] as const) {
      const volume = readVolume(volumeText(310, unit), unit);
      expect('value' in volume && volume.value).toBeCloseTo(310, -1);
      expect(readRoll(rollText(3.6576, unit), unit)).toEqual({ value: expect.closeTo(3.6576, 2) });
    }
    expect(volumeText(298.69, 'in')).toBe('10.1 fl oz');
    expect(rollText(3.6576, 'in')).toBe('12 ft');
    expect(shareText(0.075)).toBe('7.5 %');
  });

  it('say what is wrong, and take nothing past reason', () => {
    expect(readVolume('a tube', 'in')).toEqual({ fault: expect.stringContaining('is no volume') });
    expect(readVolume('0', 'mm')).toEqual({ fault: 'A cartridge holds 10 ml to 5000 ml.' });
    expect(readRoll('12 rods', 'in')).toEqual({ fault: expect.stringContaining('not a unit') });
    expect(readRoll('0', 'mm')).toEqual({ fault: 'A roll is 0.5 m to 200 m long.' });
    expect(readShare('120')).toEqual({ fault: expect.stringContaining('is no share') });
    expect(readShare('')).toEqual({ fault: expect.stringContaining('is no share') });
    expect(readSplices('1.5')).toEqual({ fault: expect.stringContaining('no number of joins') });
  });
});
