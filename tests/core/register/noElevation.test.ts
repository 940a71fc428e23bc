import { describe, expect, it } from 'vitest';
import { markOf, noElevations, saysNone } from '#core/register/noElevation.ts';

const seats = (...rows: [rim: number | null, seat: number | null][]) =>
  noElevations(rows.map(([rim, seat]) => ({ rim, seat }))).map((one) => one.seat);

describe('seats that are none', () => {
  it('are 0 and marks far from the rim of their row, in metres or feet', () => {
    const feet = -9999 * 0.3048;
    const survey = (-9999 * 1200) / 3937;
    const rows = seats([102, 101.7], [102, 0], [102, -9999], [102, feet], [102, survey], [102, -32768]);
    expect(rows).toEqual([false, true, true, true, true, true]);
    expect([0, -9999, feet, survey, 101.7].map(markOf)).toEqual([0, -9999, -9999, -9999, null]);
  });

  it('are judged by what is usual in the register where their row has no rim, or a rim of 0', () => {
    expect(seats([null, 101.7], [null, 101.9], [null, 0], [0, 0])).toEqual([false, false, true, true]);
    expect(noElevations([{ rim: 0, seat: 101.7 }])).toEqual([{ rim: true, seat: false }]);
  });

  it('are elevations like any other by the sea', () => {
    expect(seats([1.3, 1.2], [1.3, 0], [1.3, -0.4])).toEqual([false, false, false]);
    expect(seats([5.2, 0])).toEqual([true]);
  });

  it('are none where nothing else in the register tells', () => {
    expect(seats([null, 0], [null, 0], [null, null])).toEqual([true, true, false]);
  });
});

it('words that stand for no figure are known, and ids or figures are not among them', () => {
  for (const word of [
    'n/a',
    'N/A',
    'na',
    'N.A.',
    'n a',
    'NULL',
    'none',
    'NaN',
    'unknown',
    'TBD',
    '-',
    '--',
    '?',
    '***',
  ])
    expect([word, saysNone(word)]).toEqual([word, true]);
  for (const word of ['0', '-9999', '', 'abc', '101.7', '-1', 'nab', 'north', '7 1/2 in', '- 3'])
    expect([word, saysNone(word)]).toEqual([word, false]);
});
