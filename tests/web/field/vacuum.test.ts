import { describe, expect, it } from 'vitest';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import { judgeEdge, judgeRim } from '../../../web/field/hole/steps/verdict.ts';
import { askedOf, judge, unlike } from '../../../web/field/hole/vacuum/asked.ts';
import { inch, vacuumTable } from './card.ts';

const foot = 0.3048;
const band = (from: number, to: number | null, includes: [from: boolean, to: boolean]) => ({
  from,
  to,
  includesFrom: includes[0],
  includesTo: includes[1],
});

/** Spotsylvania County Utilities VA, vacuum test form for 48, 60 and 72 in manholes, as printed. */
const spotsylvania: VacuumTable = {
  ...vacuumTable(),
  rows: [48, 60, 72].flatMap((diameter, index) => [
    { diameter, depth: band(0, 10, [true, true]), seconds: 60 + 15 * index, secondsPerDepth: 0 },
    { diameter, depth: band(10, 15, [false, false]), seconds: 75 + 15 * index, secondsPerDepth: 0 },
    { diameter, depth: band(15, 25, [false, false]), seconds: 90 + 15 * index, secondsPerDepth: 0 },
    { diameter, depth: band(25, null, [false, false]), seconds: 90 + 15 * index, secondsPerDepth: 2 },
  ]),
};
/** Carmel Area Wastewater District CA, Ord. 2019-02: bands that share 5, 10 and 15 ft. */
const carmel: VacuumTable = {
  ...vacuumTable(),
  drawInHg: 8,
  startInHg: 7,
  endInHg: 6,
  settleSeconds: 60,
  rows: [
    { diameter: null, depth: band(0, 5, [true, true]), seconds: 270, secondsPerDepth: 0 },
    { diameter: null, depth: band(5, 10, [true, true]), seconds: 330, secondsPerDepth: 0 },
    { diameter: null, depth: band(10, 15, [true, true]), seconds: 360, secondsPerDepth: 0 },
    { diameter: null, depth: band(15, null, [false, false]), seconds: 390, secondsPerDepth: 0 },
  ],
};
const size = (inches: number | null, feet: number | null) => ({
  diameterM: inches === null ? null : inches * inch,
  depthM: feet === null ? null : feet * foot,
});
const asIs = { headAt: 'frame', frameInPlace: true } as const;

describe('the time that a table asks', () => {
  it('is that of the two worked rows of the Spotsylvania form, with their verdicts', () => {
    expect(askedOf(spotsylvania, size(60, 14))).toEqual({ seconds: 90, doubts: [] });
    expect(judge(spotsylvania, { ...asIs, startInHg: 10, endInHg: 8.5, seconds: 90, required: 90 })).toBe(
      'failed',
    );
    expect(askedOf(spotsylvania, size(48, 10))).toEqual({ seconds: 60, doubts: [] });
    expect(judge(spotsylvania, { ...asIs, startInHg: 10, endInHg: 9.5, seconds: 60, required: 60 })).toBe(
      'passed',
    );
  });

  it('grows past the last band: 48 in and 30 ft take 90 + 2 x 5 s', () => {
    expect(askedOf(spotsylvania, size(48, 30)).seconds).toBe(100);
  });

  it('is the longer one where a depth falls between bands as printed, and says so: 15 and 25 ft', () => {
    const at15 = askedOf(spotsylvania, { diameterM: 48 * inch, depthM: 15 * foot });
    expect(at15.seconds).toBe(90);
    expect(at15.doubts[0]).toMatch(/No band/);
    expect(askedOf(spotsylvania, size(72, 25)).seconds).toBe(120);
  });

  it('is the longer one where two bands hold a depth: Carmel at 5 and 10 ft', () => {
    const at5 = askedOf(carmel, { diameterM: 48 * inch, depthM: 5 * foot });
    expect(at5.seconds).toBe(330);
    expect(at5.doubts[0]).toMatch(/Two bands/);
    expect(askedOf(carmel, size(48, 10)).seconds).toBe(360);
  });

  it('is that of the next greater barrel between rows, and none for an unknown depth that the time grows with', () => {
    expect(askedOf(vacuumTable(), size(54, 10)).doubts[0]).toMatch(/60 in, the next greater, counts/);
    expect(askedOf(spotsylvania, size(48, null)).seconds).toBeNull();
    expect(askedOf(vacuumTable(), size(null, null))).toMatchObject({ seconds: 90 });
    expect(askedOf(vacuumTable(), size(null, null)).doubts[0]).toMatch(/longest time of all/);
  });

  it('takes a barrel of 1219 mm for one of 48 in', () => {
    expect(askedOf(vacuumTable(), { diameterM: 1.219, depthM: 3 }).seconds).toBe(60);
  });
});

describe('the verdict', () => {
  const measured = { ...asIs, startInHg: 10, endInHg: 9.2, seconds: 60, required: 60 };

  it('is strict where the table says longer: Sheridan IN, "greater than"', () => {
    expect(judge(vacuumTable(), measured)).toBe('passed');
    expect(judge({ ...vacuumTable(), passes: 'longer' }, measured)).toBe('tooShort');
    expect(judge({ ...vacuumTable(), passes: 'longer' }, { ...measured, seconds: 60.1 })).toBe('passed');
  });

  it('fails what fell to the limit too soon or past it, and started below it', () => {
    expect(judge(vacuumTable(), { ...measured, seconds: 40, endInHg: 9 })).toBe('failed');
    expect(judge(vacuumTable(), { ...measured, endInHg: 8.9 })).toBe('failed');
    expect(judge(vacuumTable(), { ...measured, startInHg: 9.5 })).toBe('failed');
    expect(judge(vacuumTable(), { ...measured, startInHg: 10.4 })).toBe('failed');
    expect(judge(vacuumTable(), { ...measured, seconds: 40 })).toBe('tooShort');
  });

  it('knows a test that is not the table’s', () => {
    expect(unlike(vacuumTable(), asIs)).toEqual([]);
    expect(unlike(vacuumTable(), { headAt: 'seat', frameInPlace: false })).toHaveLength(2);
    expect(
      unlike({ ...vacuumTable(), frameInPlace: null }, { headAt: 'frame', frameInPlace: false }),
    ).toEqual([]);
  });
});

describe('the rim against its limits', () => {
  const mm = 0.001;
  const rim = (worst: number, sigmaM = 0.5 * mm) => ({
    rimErrorsM: [0, worst * mm, 0, 0] as [number, number, number, number],
    sigmaM,
  });

  it('holds both ways alike or not: 6 mm, and 0 proud and 6 low for drainage (UK SROH S2.5)', () => {
    const six = { proud: 6 * mm, low: 6 * mm };
    expect(judgeRim(rim(-4), six).state).toBe('within');
    expect(judgeRim(rim(6.1), six).state).toBe('off');
    const drainage = { proud: 0, low: 6 * mm };
    expect(judgeRim(rim(1), drainage)).toMatchObject({ state: 'off', worst: 1 * mm });
    const even = { rimErrorsM: [-4, -4, -4, -4].map((low) => low * mm) as [number, number, number, number] };
    expect(judgeRim({ ...even, sigmaM: 0.5 * mm }, drainage).state).toBe('within');
    // Low at one clock and at grade at the others: the plane through them stands out between them.
    expect(judgeRim(rim(-4), drainage)).toMatchObject({ state: 'off' });
  });

  it('is doubtful where twice the sigma reaches past the limit', () => {
    const six = { proud: 6 * mm, low: 6 * mm };
    expect(judgeRim(rim(5.5), six).state).toBe('doubtful');
    expect(judgeRim(rim(0, 20 * mm), six).state).toBe('doubtful');
  });

  it('takes a straightedge by the limit of its own direction: 1/8 in along, 1/4 in across', () => {
    const limits = { along: inch / 8, across: inch / 4 };
    const line = (gap: number, proud: number) => ({ gapM: gap * inch, proudM: proud * inch });
    expect(judgeEdge({ along: line(0.125, 0), across: line(0.25, 0.25) }, limits)).toEqual([]);
    expect(judgeEdge({ along: line(0, 0.1875), across: line(0.1875, 0) }, limits)).toEqual(['along']);
    expect(judgeEdge({ along: line(0, 0), across: null }, limits)).toEqual([]);
    expect(judgeEdge({ along: line(1, 0), across: line(1, 0) }, { along: null, across: null })).toEqual([]);
  });
});
