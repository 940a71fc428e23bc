import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Facts } from '#core/field/facts.ts';
import { checkTable } from '#core/seal/checkTable.ts';
import { judgeVacuum } from '#core/seal/judgeVacuum.ts';
import { askedOf } from '#core/seal/required.ts';
import type { VacuumTable } from '#core/seal/types.ts';
import { isRequired, requiredTime } from '#core/seal/vacuum.ts';
import { sayTableQuestion, sayVacuum } from '#core/seal/words.ts';
import { plain } from '../field/records.ts';
import { band, carmel, claremont, newHampshire, published, sheridan, spotsylvania } from './tables.ts';

const [inch, foot] = [0.0254, 0.3048];
const size = (inches: number | null, feet: number | null) => ({
  diameterM: inches === null ? null : inches * inch,
  depthM: feet === null ? null : feet * foot,
});
const read = (table: VacuumTable, inches: number | null, feet: number | null) => {
  const answer = requiredTime(table, size(inches, feet));
  return isRequired(answer)
    ? { seconds: answer.seconds, doubts: answer.doubts.map(({ code }) => code) }
    : { question: answer.question.code, longest: answer.longest };
};
const time = (table: VacuumTable, inches: number | null, feet: number | null) => {
  const answer = read(table, inches, feet);
  return 'seconds' in answer ? answer.seconds : answer.question;
};

describe('the time that a table asks', () => {
  test('Claremont and Sheridan: by diameter alone, whatever the depth', () => {
    expect([48, 60, 72, 84, 96, 120].map((inches) => time(claremont, inches, null))).toEqual([
      60, 75, 90, 105, 120, 150,
    ]);
    expect([48, 60, 72].map((inches) => time(sheridan, inches, 99))).toEqual([60, 75, 90]);
  });

  test('Spotsylvania: by diameter and depth, and 2 s a foot past 25', () => {
    const depths = [4, 10, 10.1, 14.9, 15.1, 24.9, 30];
    expect(depths.map((feet) => time(spotsylvania, 48, feet))).toEqual([60, 60, 75, 75, 90, 90, 100]);
    expect(depths.map((feet) => time(spotsylvania, 60, feet))).toEqual([75, 75, 90, 90, 105, 105, 115]);
    expect(depths.map((feet) => time(spotsylvania, 72, feet))).toEqual([90, 90, 105, 105, 120, 120, 130]);
    expect(time(spotsylvania, 60, 14)).toBe(90);
    expect(time(spotsylvania, 48, 10)).toBe(60);
  });

  test('exactly 15 and 25 ft lie in no band as printed: the longer neighbour, and it is said', () => {
    expect(read(spotsylvania, 48, 15)).toEqual({ seconds: 90, doubts: ['gap'] });
    expect(read(spotsylvania, 72, 25)).toEqual({ seconds: 120, doubts: ['gap'] });
    // A depth typed in metres is the same depth.
    expect(requiredTime(spotsylvania, { diameterM: 1.2192, depthM: 4.572 })).toMatchObject({
      doubts: [{ code: 'gap' }],
    });
  });

  test('New Hampshire: by depth alone, no doubt at its bounds', () => {
    expect([9.99, 10, 15, 15.01].map((feet) => read(newHampshire, null, feet))).toEqual(
      [120, 150, 150, 180].map((seconds) => ({ seconds, doubts: [] })),
    );
  });

  test('Carmel: bands share 5, 10 and 15 ft: the longer time, and it is said', () => {
    expect([2, 7, 12, 20].map((feet) => time(carmel, null, feet))).toEqual([270, 330, 360, 390]);
    expect(read(carmel, null, 5)).toEqual({ seconds: 330, doubts: ['overlap'] });
    expect(read(carmel, null, 10)).toEqual({ seconds: 360, doubts: ['overlap'] });
    // At 15 ft only the band up to it holds the depth; the form's ">15" does not.
    expect(read(carmel, null, 15)).toEqual({ seconds: 360, doubts: [] });
  });

  test('between two diameters nothing is interpolated: the next greater counts; past the greatest nothing does', () => {
    expect(read(claremont, 54, 8)).toEqual({ seconds: 75, doubts: ['nextDiameter'] });
    expect(read(claremont, 36, 8)).toEqual({ seconds: 60, doubts: ['nextDiameter'] });
    expect(read(claremont, 144, 8)).toEqual({ question: 'diameterPastTable', longest: null });
    expect(requiredTime(claremont, { diameterM: 1.219, depthM: null })).toMatchObject({
      seconds: 60,
      doubts: [],
    });
    // 1200 mm is no 48 in: the two systems are separate standards (ASTM C1244/C1244M, units clause).
    expect(requiredTime(claremont, { diameterM: 1.2, depthM: null })).toMatchObject({
      doubts: [{ code: 'nextDiameter' }],
    });
    const metric: VacuumTable = {
      ...claremont,
      diameterUnit: 'mm',
      rows: [{ ...claremont.rows[0], diameter: 1200 }],
    };
    expect(requiredTime(metric, size(48, null))).toMatchObject({ question: { code: 'diameterPastTable' } });
    expect(requiredTime(metric, { diameterM: 1.208, depthM: null })).toMatchObject({ seconds: 60 });
  });

  test('what is not known, or past the table, is a question with the longest that may be meant', () => {
    expect(read(claremont, null, 8)).toEqual({ question: 'diameterUnknown', longest: 150 });
    expect(read(spotsylvania, 48, null)).toEqual({ question: 'depthUnknown', longest: null });
    expect(read(carmel, null, null)).toEqual({ question: 'depthUnknown', longest: 390 });
    const ends = { ...newHampshire, rows: newHampshire.rows.slice(1, 2) };
    expect(read(ends, null, 16)).toEqual({ question: 'depthPastTable', longest: null });
    expect(read(ends, null, 9)).toEqual({ seconds: 150, doubts: ['aboveBands'] });
    for (const odd of [
      size(0, 8),
      size(-48, 8),
      size(48, -1),
      size(48, Number.NaN),
      size(Number.POSITIVE_INFINITY, 8),
      size(null, -1),
    ])
      expect(requiredTime(claremont, odd)).toMatchObject({ question: { code: 'notASize' } });
    const growing = { ...newHampshire, rows: [{ ...newHampshire.rows[1], secondsPerDepth: 2 }] };
    expect(read(growing, null, null)).toEqual({ question: 'depthUnknown', longest: 160 });
  });

  test('a timer runs to whole seconds, and to the longest where a size is not known', () => {
    expect(askedOf(spotsylvania, size(48, 25.7))).toEqual({ seconds: 92, doubts: [] });
    expect(askedOf(carmel, size(null, null))).toEqual({
      seconds: 390,
      doubts: ['The depth is not known, and the time depends on it. The longest time of all counts.'],
    });
    expect(askedOf(spotsylvania, size(48, null)).seconds).toBeNull();
    expect(askedOf(claremont, size(-1, 0))).toEqual({
      seconds: null,
      doubts: ['A diameter is above 0, a depth not below it.'],
    });
  });

  test('deeper never takes less by a table that never falls, in whatever unit the depth is known', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(spotsylvania, carmel, newHampshire),
        fc.double({ min: 0, max: 60, noNaN: true }),
        fc.double({ min: 0, max: 10, noNaN: true }),
        (table, feet, more) => {
          const [less, least] = [feet, feet + more].map((depth) => time(table, 60, depth) as number);
          // Rounding to a millionth of a foot may put a depth at a bound into either band.
          if (more > 1e-5) expect(least).toBeGreaterThanOrEqual(less);
        },
      ),
    );
  });
});

describe('the verdict of a test', () => {
  const facts = (change: Partial<Facts['vacuum']> = {}, feet = 10): Facts['vacuum'] => ({
    ...plain.vacuum,
    ...size(48, feet),
    ...{ startInHg: 10, endInHg: 9.5, seconds: 60, requiredSeconds: 60 },
    ...change,
  });
  const judge = (table: VacuumTable, change: Partial<Facts['vacuum']> = {}) => {
    const { outcome, reasons } = judgeVacuum(table, facts(change));
    return [outcome, ...reasons.map(({ code }) => code)];
  };

  test('the two worked rows of the Spotsylvania form', () => {
    const fail = judgeVacuum(
      spotsylvania,
      facts({ ...size(60, 14), endInHg: 8.5, seconds: 90, requiredSeconds: 90 }),
    );
    expect(fail).toMatchObject({
      outcome: 'failed',
      required: 90,
      reasons: [{ code: 'fellBelow' }],
    });
    expect(judge(spotsylvania)).toEqual(['passed']);
  });

  test('at least, or longer: the very time passes one table and not the other', () => {
    expect(judge(claremont)).toEqual(['passed']);
    const before = { headAt: 'topRing', frameInPlace: false } as const;
    expect(judge(sheridan, before)).toEqual(['notTested', 'notLonger']);
    expect(judge(sheridan, { ...before, seconds: 60.5 })).toEqual(['passed']);
  });

  test('at the limit: just the time passes "at least" and fails "longer"; sooner fails both', () => {
    const before = { headAt: 'topRing', frameInPlace: false, endInHg: 9 } as const;
    expect(judge(claremont, { endInHg: 9 })).toEqual(['passed']);
    expect(judge(sheridan, before)).toEqual(['failed', 'fellBelow']);
    expect(judge(sheridan, { ...before, seconds: 61 })).toEqual(['passed']);
    expect(judge(claremont, { endInHg: 9, seconds: 59 })).toEqual(['failed', 'fellBelow']);
    expect(judge(claremont, { endInHg: 8.9, seconds: 20 })).toEqual(['failed', 'fellBelow']);
  });

  test('a test that was broken off, begun too low or of something else is none, and never passes', () => {
    expect(judge(claremont, { seconds: 40 })).toEqual(['notTested', 'timeShort']);
    expect(judge(claremont, { startInHg: 9.8 })).toEqual(['notTested', 'startNotReached']);
    // Whatever became of it: it was another test. What leaked is said.
    expect(judge(claremont, { startInHg: 9.8, endInHg: 8 })).toEqual([
      'notTested',
      'startNotReached',
      'fellBelow',
    ]);
    expect(judge(spotsylvania, { headAt: 'seat', frameInPlace: false, scope: 'chimney' })).toEqual([
      'notTested',
      'otherScope',
      'headElsewhere',
      'frameMissing',
    ]);
    expect(
      judge(carmel, { startInHg: 7, endInHg: 6.5, seconds: 360, requiredSeconds: null, headAt: 'seat' }),
    ).toEqual(['notTested', 'frameInPlace', 'overlap']);
    // The longest time of the table is 150 s: as long a test passes by any of its rows.
    const unknown = { ...size(null, 10), requiredSeconds: null };
    expect(judge(claremont, unknown)).toEqual(['notTested', 'timeShort', 'diameterUnknown']);
    expect(judge(claremont, { ...unknown, seconds: 150 })).toEqual(['passed', 'diameterUnknown']);
    expect(judge(claremont, size(-1, 10))).toEqual(['notTested', 'notASize']);
    expect(judge(claremont, { outcome: 'notTested' })).toEqual(['notTested', 'saidNotTested']);
    expect(judge(claremont, { outcome: 'notTested', endInHg: 8 })).toEqual(['notTested', 'fellBelow']);
    for (const missing of [{ startInHg: null }, { endInHg: null }, { seconds: null }])
      expect(judge(claremont, missing)).toEqual(['notTested', 'notMeasured']);
  });

  test('a fall farther than the table allows fails, wherever it began', () => {
    expect(judge(claremont, { startInHg: 11, endInHg: 9.5 })).toEqual(['failed', 'fellTooFar']);
    expect(judge(claremont, { startInHg: 10.4, endInHg: 9.5 })).toEqual(['passed']);
  });

  test('no gauge, a shorter time noted and a chimney’s own test are said and decide nothing', () => {
    expect(judge(claremont, { gauge: ' ' })).toEqual(['passed', 'noGauge']);
    expect(judge(claremont, { requiredSeconds: 30 })).toEqual(['passed', 'otherRequired']);
    expect(judge(claremont, { requiredSeconds: 90 })).toEqual(['passed']);
    expect(judge({ ...claremont, scope: 'chimney' }, { scope: 'chimney' })).toEqual([
      'passed',
      'agencyDefined',
    ]);
  });

  test('what passes was measured, long enough and never past the limit', () => {
    const number = (max: number) => fc.option(fc.double({ min: 0, max, noNaN: true }), { freq: 8 });
    fc.assert(
      fc.property(
        fc.constantFrom(...published),
        fc.record({
          startInHg: number(12),
          endInHg: number(12),
          seconds: number(600),
          diameterM: number(4),
          depthM: number(12),
        }),
        fc.record({
          headAt: fc.constantFrom('frame' as const, 'topRing' as const, 'seat' as const),
          frameInPlace: fc.boolean(),
        }),
        (table, run, conditions) => {
          const { outcome, required } = judgeVacuum(table, { ...plain.vacuum, ...run, ...conditions });
          if (outcome !== 'passed') return;
          expect(run.seconds).toBeGreaterThanOrEqual(required! - 1e-6);
          expect(run.endInHg).toBeGreaterThanOrEqual(table.endInHg - 1e-6);
          expect(run.startInHg).toBeGreaterThanOrEqual(table.startInHg - 1e-6);
          expect(conditions.headAt).toBe(table.headAt);
        },
      ),
      { numRuns: 3000 },
    );
  });
});

describe('a table that is entered', () => {
  const codes = (table: VacuumTable) => checkTable(table).map(({ code }) => code);

  test('Spotsylvania leaves 15 and 25 ft out, Carmel counts 5 and 10 ft twice, New Hampshire asks nothing', () => {
    const gaps = checkTable(spotsylvania).filter(({ code }) => code === 'bandsGap');
    expect(gaps.map(({ values }) => [values.diameter, values.from])).toEqual([
      [48, 15],
      [48, 25],
      [60, 15],
      [60, 25],
      [72, 15],
      [72, 25],
    ]);
    expect(codes(carmel)).toEqual(['bandsShare', 'bandsShare']);
    expect(codes(newHampshire)).toEqual([]);
    expect(codes(claremont)).toEqual(Array(5).fill('betweenDiameters'));
  });

  test('what falls, overlaps, ends, holds nothing or is printed twice is asked about', () => {
    const row = (from: number, to: number | null, seconds: number, ends?: [boolean, boolean]) => ({
      ...{ diameter: null, depth: band(from, to, ends), seconds, secondsPerDepth: 0 },
    });
    const of = (...rows: VacuumTable['rows']) => codes({ ...newHampshire, rows });
    expect(of(row(0, 12, 60), row(10, null, 90))).toEqual(['bandsOverlap']);
    expect(of(row(0, null, 60), row(10, null, 90))).toEqual(['bandsOverlap']);
    expect(of(row(0, 10, 60), row(12, null, 90))).toEqual(['bandsGap']);
    expect(of(row(0, 10, 90), row(10, null, 60, [true, false]))).toEqual(['shorterDeeper']);
    expect(of(row(0, 10, 60))).toEqual(['bandsEnd']);
    expect(of(row(10, 10, 60), row(10, null, 60, [true, false]))).toContain('bandEmpty');
    expect(of(row(10, 10, 60, [true, true]), row(10, null, 60))).toEqual([]);
    expect(of(row(12, 10, 60), row(12, null, 60, [true, false]))).toContain('bandEmpty');
    const same = { ...claremont.rows[0], diameter: null };
    expect(of(same, same)).toEqual(['sameRow']);
    expect(of(same, row(0, null, 60))).toEqual(['sameRow']);
    expect(codes({ ...claremont, rows: [claremont.rows[0], same] })).toEqual([
      'someWithoutDiameter',
      'sameRow',
    ]);
    const falling = [claremont.rows[1], { ...claremont.rows[0], diameter: 84 }];
    expect(codes({ ...claremont, rows: falling })).toEqual(['betweenDiameters', 'shorterWider']);
    expect(codes({ ...newHampshire, endInHg: 10 })).toEqual(['pressuresOutOfOrder']);
    expect(codes({ ...newHampshire, drawInHg: 8 })).toEqual(['pressuresOutOfOrder']);
    expect(codes({ ...newHampshire, scope: 'chimney' })).toEqual(['agencyDefined']);
  });

  test('every question, doubt and reason has a sentence with its units', () => {
    const say = (code: string, values = {}) => sayVacuum({ code, values } as never, spotsylvania);
    expect(say('nextDiameter', { diameter: 54, next: 60 })).toBe(
      'The table has no row for 54 in: that of 60 in, the next greater, counts.',
    );
    expect(say('overlap', { seconds: 330 })).toMatch(/longer time of 330 s/);
    expect(say('gap', { depth: 15 })).toMatch(/holds 15 ft/);
    expect(say('fellBelow', { end: 8.5, seconds: 90, limit: 9, required: 90 })).toBe(
      'It was at 8.5 inHg after 90 s; it has to stay above 9 inHg for 90 s.',
    );
    expect(say('headElsewhere', { head: 'seat', wanted: 'frame' })).toBe(
      'The head sat on the seat; the table has it on the frame.',
    );
    expect(say('otherScope', { scope: 'chimney', wanted: 'structure' })).toMatch(
      /the chimney alone; the table is for the whole/,
    );
    const bare = [
      'aboveBands',
      'diameterUnknown',
      'depthUnknown',
      'diameterPastTable',
      'depthPastTable',
      'notASize',
      'notMeasured',
      'saidNotTested',
      'startNotReached',
    ];
    const rest = [
      'fellTooFar',
      'timeShort',
      'notLonger',
      'frameInPlace',
      'frameMissing',
      'noGauge',
      'otherRequired',
      'agencyDefined',
    ];
    for (const code of [...bare, ...rest]) expect(say(code)).toMatch(/[.]$/);
    const ask = (code: string, values = {}) => sayTableQuestion({ code, values } as never, spotsylvania);
    expect(ask('bandsGap', { diameter: 48, from: 15, to: 15 })).toMatch(/^48 in: No band holds 15 ft\./);
    expect(ask('bandsGap', { from: 10, to: 12 })).toMatch(/from 10 ft to 12 ft/);
    expect(ask('betweenDiameters', { diameter: 48, next: 60 })).toBe(
      'Between 48 in and 60 in the row of 60 in counts.',
    );
    const others = [
      'pressuresOutOfOrder',
      'bandEmpty',
      'bandsShare',
      'bandsOverlap',
      'bandsEnd',
      'sameRow',
      'shorterDeeper',
      'shorterWider',
      'someWithoutDiameter',
      'agencyDefined',
    ];
    for (const code of others) expect(ask(code)).toMatch(/[.?]$/);
  });
});
