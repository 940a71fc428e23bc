import { describe, expect, it } from 'vitest';
import { type DatedRim, raisesOf, sinceLastMoved } from '#core/register/history.ts';
import { saySettlement } from '#core/register/overlayWords.ts';
import { fiveNumbers } from '#core/register/quartiles.ts';
import { fitSlope, settlementOf } from '#core/register/settlement.ts';

const rim = (date: string, elevation: number, change: Partial<DatedRim> = {}): DatedRim => ({
  date,
  rim: elevation,
  pavement: null,
  seat: 99.5,
  frameHeight: 0.18,
  note: null,
  ...change,
});

describe('what became of a rim', () => {
  it('is told from each record to the next', () => {
    const records = [
      rim('2001-05-01', 100),
      rim('2004-05-01', 100.004),
      rim('2009-05-01', 99.99),
      rim('2012-05-01', 100.05, { note: 'overlay' }),
      rim('2015-05-01', 100.0),
      rim('2018-05-01', 100.0, { frameHeight: 0.15 }),
      rim('2020-05-01', 100.0, { seat: 99.4, frameHeight: 0.15 }),
      rim('2022-05-01', 100.03, { seat: null, frameHeight: null }),
    ];
    expect(raisesOf(records).map(({ did }) => did)).toEqual([
      'same',
      'settled',
      'raised',
      'lowered',
      'reframed',
      'rebuilt',
      'raised',
    ]);
    expect(raisesOf(records)[2]).toMatchObject({ from: '2009-05-01', to: '2012-05-01', note: 'overlay' });
    expect(raisesOf(records)[2].by).toBeCloseTo(0.06, 9);
    expect(raisesOf([])).toEqual([]);
  });

  it('settles anew after it was last moved', () => {
    const records = [rim('2001-05-01', 100), rim('2005-05-01', 100.05), rim('2009-05-01', 100.04)];
    expect(sinceLastMoved(records).map(({ date }) => date)).toEqual(['2005-05-01', '2009-05-01']);
    expect(sinceLastMoved(records.slice(0, 1))).toHaveLength(1);
  });
});

describe('the slope of least squares', () => {
  it("is that of Anscombe's first set: 0.500 with a standard error of 0.118", () => {
    // F. J. Anscombe, Graphs in Statistical Analysis, The American Statistician 27 (1973), 17-21; the data from memory.
    const x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5];
    const y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68];
    const { slope, sigma } = fitSlope(x.map((each, index) => ({ x: each, y: y[index] })))!;
    expect(slope).toBeCloseTo(0.5, 3);
    expect(sigma).toBeCloseTo(0.118, 3);
  });

  it('is none through points of one x', () => {
    expect(fitSlope([1, 2, 3].map((y) => ({ x: 5, y })))).toBeNull();
  });
});

describe('a settlement trend', () => {
  const sinking = (years: number[], rate: number, wobble: number[] = []) =>
    years.map((year, index) =>
      rim(`${year}-07-01`, 100 + rate * (year - years[0]) + (wobble[index] ?? 0), { pavement: 100 }),
    );

  it('is a rate a year with its error, whatever the pavement itself does', () => {
    const records = sinking([2010, 2014, 2018, 2022], -0.002).map((record) => ({
      ...record,
      rim: record.rim - 0.3,
      pavement: record.pavement! - 0.3,
    }));
    const settlement = settlementOf(records);
    expect(settlement.trend!.rate).toBeCloseTo(-0.002, 6);
    expect(settlement.trend!.sigma).toBeLessThan(1e-5);
    expect(saySettlement(settlement, 'millimetres')).toBe(
      'The rim sinks against the pavement: 2.0 mm ± 0.0 mm a year from 4 levellings of rim and pavement.',
    );
  });

  it('rises, or is lost in its error', () => {
    expect(saySettlement(settlementOf(sinking([2010, 2014, 2018], 0.00254)), 'decimalInches')).toContain(
      'rises against the pavement: 0.100 in ± 0.000 in a year',
    );
    const noisy = settlementOf(sinking([2010, 2012, 2014, 2016], 0, [0, 0.004, -0.004, 0.001]));
    expect(saySettlement(noisy, 'millimetres')).toContain('No movement beyond its error');
  });

  it('takes three levellings with their pavement, on more than one day', () => {
    const two = settlementOf([...sinking([2010, 2014], -0.01), rim('2018-01-01', 99.9)]);
    expect(two).toEqual({ epochs: 2, trend: null, why: 'fewEpochs' });
    expect(saySettlement(two, 'millimetres')).toBe(
      'No trend: 2 levellings of rim and pavement since the rim was last moved, 3 are needed.',
    );
    expect(saySettlement(settlementOf(sinking([2010], 0)), 'millimetres')).toContain('1 levelling of');
    const oneDay = settlementOf(sinking([2010, 2010, 2010], 0));
    expect(oneDay).toEqual({ epochs: 3, trend: null, why: 'oneDay' });
    expect(saySettlement(oneDay, 'millimetres')).toContain('all on one day');
  });
});

describe('five numbers of counted values', () => {
  it('are those of the values written out', () => {
    // 1 to 4: quartiles 1.75, 2.5 and 3.25 by definition 7 of Hyndman and Fan (1996); by hand from its formula.
    const counted = [1, 2, 3, 4].map((value) => ({ value, count: 1 }));
    expect(fiveNumbers(counted)).toEqual({
      least: 1,
      lowerQuartile: 1.75,
      median: 2.5,
      upperQuartile: 3.25,
      greatest: 4,
    });
    expect(fiveNumbers([{ value: 7, count: 5 }])).toMatchObject({ lowerQuartile: 7, median: 7, greatest: 7 });
    expect(fiveNumbers([])).toBeNull();
  });

  it('of a count that is no number are a fault of the program', () => {
    expect(() => fiveNumbers([{ value: 1, count: Number.NaN }])).toThrow('No value');
  });
});
