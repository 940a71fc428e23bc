import { describe, expect, it } from 'vitest';
import { readMass, readZone } from '../../web/grade/site.ts';

describe('a mass as it is typed', () => {
  it('is kilograms, of pounds by the exact pound of 0.45359237 kg; a bare number is the project’s', () => {
    expect(readMass('50', 'in')).toEqual({ value: expect.closeTo(22.6796185, 7) });
    expect(readMass('25', 'mm')).toEqual({ value: 25 });
    expect(readMass('25 kg', 'in')).toEqual({ value: 25 });
    expect(readMass('22,5', 'mm')).toEqual({ value: 22.5 });
    expect(readMass('50lb', 'mm')).toEqual({ value: expect.closeTo(22.6796185, 7) });
  });

  it('is above nothing, and believable', () => {
    for (const text of ['', 'heavy', '0', '201 kg', '23 t', '1.2.3', '1,000,0'])
      expect(readMass(text, 'mm')).toHaveProperty('fault');
  });
});

it('a time zone is a name of the IANA database', () => {
  expect(readZone(' Europe/London ')).toEqual({ value: 'Europe/London' });
  for (const text of ['', '+05:00', 'Mars/Olympus']) expect(readZone(text)).toHaveProperty('fault');
});
