import { describe, expect, it } from 'vitest';
import {
  compareRims,
  findCopiedAsBuilts,
  type RegisterRim,
  type RimShot,
} from '#core/survey/checks/againstRegister.ts';
import { findNoElevations } from '#core/survey/checks/noElevation.ts';
import { findOneLine } from '#core/survey/checks/oneLine.ts';
import { findRodHeights } from '#core/survey/checks/rodHeight.ts';
import { differingPlaces, findSamePlaces } from '#core/survey/checks/samePlace.ts';
import type { CheckShot } from '#core/survey/checks/types.ts';
import { findFloatShots, findMixedEpochs, findUnknownCodes } from '#core/survey/checks/words.ts';
import { checkShots } from '#core/survey/checks.ts';
import { metresPer } from '#core/units/length.ts';
import { seeded } from '../../helpers/corridor.ts';

const metres = { metresPerUnit: 1, elevationMetresPerUnit: 1 };
const feet = { metresPerUnit: metresPer['us-ft'], elevationMetresPerUnit: metresPer['us-ft'] };

const shot = (i: number, [east, north, elevation]: readonly number[], code = ''): CheckShot => ({
  row: i + 1,
  point: String(100 + i),
  east,
  north,
  elevation,
  code,
});
const shots = (...places: number[][]) => places.map((place, i) => shot(i, place));

/** A crowned road: sections of edge, lane, crown, lane, edge, 8 units apart, on a vertical curve, with noise. */
function road(sections: number, { noise = 0.002, metresPerUnit = 1, seed = 3 } = {}): CheckShot[] {
  const random = seeded(seed);
  const found: CheckShot[] = [];
  for (let k = 0; k < sections; k++) {
    for (const [offset, code] of [
      [-3.5, 'EP'],
      [-1.8, 'FG'],
      [0, 'CL'],
      [1.8, 'FG'],
      [3.5, 'EP'],
    ] as const) {
      const along = 8 * k;
      const z =
        100 + 0.02 * along - (along * along) / 8000 - 0.02 * Math.abs(offset) + noise * (2 * random() - 1);
      const place = [500 + 0.8 * along + 0.6 * offset, 900 + 0.6 * along - 0.8 * offset, z];
      found.push(
        shot(
          found.length,
          place.map((v) => v / metresPerUnit),
          code,
        ),
      );
    }
  }
  return found;
}

describe('elevations that stand for none', () => {
  const round = [
    [0, 3],
    [3, 0],
    [-3, 0],
    [0, -3],
    [2, 2],
  ];
  it('A8 sets a 0 and a -999 aside, by name, where the ground round them is at 100', () => {
    const found = findNoElevations(
      shots(...[100, 100.1, 100.2, 0, -999].map((z, i) => [...round[i], z])),
      metres,
    );
    expect(found.map(({ code, points, values }) => ({ code, points, values }))).toEqual([
      { code: 'sentinel', points: ['104'], values: [-999] },
      { code: 'falseZero', points: ['103'], values: [0] },
    ]);
    expect(found.every(({ setAside }) => setAside)).toBe(true);
  });

  it('A9 keeps every level of a waterfront, 0.00 included', () => {
    expect(findNoElevations(shots(...[0.42, 0, -0.31, 0.1].map((z, i) => [...round[i], z])), metres)).toEqual(
      [],
    );
  });

  it.each([[-9999], [-32768], [99999], [-1e38], [3.4e38]])('sets %d aside as well', (mark) => {
    const found = findNoElevations(shots(...[12, 12.1, 12.2, mark].map((z, i) => [...round[i], z])), metres);
    expect(found).toMatchObject([{ points: ['103'] }]);
  });

  it('keeps a 0 at the bottom of a bank that the shots lead down', () => {
    const bank = Array.from({ length: 12 }, (_, i) => [2 * i, i % 3, Math.max(0, 9 - i)]);
    expect(findNoElevations(shots(...bank), metres)).toEqual([]);
  });

  it('names 0 on every shot, and blanks, which are missing and not 0', () => {
    expect(findNoElevations(shots([0, 0, 0], [1, 0, 0], [2, 0, 0]), metres)).toMatchObject([
      { code: 'allZero' },
    ]);
    expect(findNoElevations(shots([0, 0, Number.NaN], [1, 0, 5]), metres)).toMatchObject([
      { code: 'noElevation', points: ['100'], values: [] },
    ]);
  });

  it('says the same when the survey is moved a million metres away', () => {
    const far = shots(
      ...[100, 100.1, 100.2, 0, -999].map((z, i) => [round[i][0] + 1e6, round[i][1] + 5e6, z]),
    );
    expect(findNoElevations(far, metres).flatMap(({ points }) => points)).toEqual(['104', '103']);
  });
});

describe('A12 shots on one line', () => {
  it('do not make a surface, and that is said at once', () => {
    expect(findOneLine(shots([0, 0, 1], [5, 0, 1], [10, 0, 1]))[0].message).toBe(
      'these points do not make a surface',
    );
    expect(
      findOneLine(Array.from({ length: 200_000 }, (_, i) => shot(i, [3 * i + 1e6, 7 * i + 5e6, 1]))),
    ).toHaveLength(1);
    expect(findOneLine(shots([4, 4, 1], [4, 4, 1], [4, 4, 2]))).toHaveLength(1);
  });
  it('are a surface as soon as one stands 40 off a line of 2000', () => {
    expect(findOneLine(shots([0, 0, 1], [1000, 0, 1], [2000, 40, 2]))).toEqual([]);
  });
});

describe('A13 two shots at one place', () => {
  const square = [
    [0, 0, 10],
    [10, 0, 10.2],
    [10, 10, 10.4],
    [0, 10, 10.2],
    [5, 5, 10.2],
  ];
  it('names them with their difference and takes their median', () => {
    const [found] = differingPlaces(shots(...square, [5, 5, 10.22]), metres);
    expect(found).toMatchObject({
      code: 'samePlace',
      points: ['104', '105'],
      values: [10.2, 10.22],
      setAside: false,
    });
    expect(found.message).toContain('2 shots at 5,5 differ by 0.02');
    const [place] = findSamePlaces(shots(...square, [5, 5, 10.22]), metres);
    expect(place.elevation).toBeCloseTo(10.21, 9);
  });

  it('refuses to choose between 10.20 and 15.20', () => {
    const [found] = differingPlaces(shots(...square, [5, 5, 15.2]), metres);
    expect(found).toMatchObject({ code: 'samePlaceConflict', setAside: true });
    expect(findSamePlaces(shots(...square, [5, 5, 15.2]), metres)[0].elevation).toBeNull();
  });

  it('counts the limit in the unit of the survey', () => {
    const [agrees] = differingPlaces(shots([5, 5, 10.2], [5, 5, 10.36]), feet);
    expect(agrees.code).toBe('samePlace');
    const [differs] = differingPlaces(shots([5, 5, 10.2], [5, 5, 10.37]), feet);
    expect(differs.code).toBe('samePlaceConflict');
  });

  it('says nothing of the same shot twice', () => {
    expect(differingPlaces(shots([5, 5, 10.2], [5, 5, 10.2]), metres)).toEqual([]);
  });
});

describe('rod heights', () => {
  it('waits while the units are not settled: in feet read as metres every crown would be one', () => {
    const survey = road(40).map((s, i) => (i >= 90 && i < 94 ? { ...s, elevation: s.elevation + 0.3 } : s));
    const codes = (settled: boolean) => checkShots(survey, { ...metres, settled }).map(({ code }) => code);
    expect(codes(true)).toContain('rodHeight');
    expect(codes(false)).not.toContain('rodHeight');
  });

  it('finds nothing on a crowned road with a vertical curve', () => {
    expect(findRodHeights(road(40), metres)).toEqual([]);
  });

  for (const length of [2, 4, 5, 8]) {
    it(`finds ${length} shots in a row that a wrong rod height lifted by 0.3 m`, () => {
      const survey = road(40).map((s, i) =>
        i >= 90 && i < 90 + length ? { ...s, elevation: s.elevation + 0.3 } : s,
      );
      const found = findRodHeights(survey, metres);
      expect(found.flatMap(({ points }) => points)).toEqual(
        survey.slice(90, 90 + length).map(({ point }) => point),
      );
      expect(found[0].code).toBe('rodHeight');
      for (const { values } of found) expect(values[0]).toBeCloseTo(0.3, 1);
    });
  }

  for (const length of [12, 20, 33, 60, 100]) {
    it(`finds a long run of ${length} shots by its two ends, and accuses no other shot`, () => {
      const survey = road(60).map((s, i) =>
        i >= 90 && i < 90 + length ? { ...s, elevation: s.elevation + 0.3 } : s,
      );
      const found = findRodHeights(survey, metres);
      expect(found.map(({ points }) => [points[0], points.at(-1)])).toEqual([['190', String(189 + length)]]);
      expect(found[0].values[0]).toBeCloseTo(0.3, 1);
    });
  }

  it('finds the same in feet, and a jump down', () => {
    const survey = road(40, { metresPerUnit: metresPer['us-ft'] }).map((s, i) =>
      i >= 60 && i < 64 ? { ...s, elevation: s.elevation - 1 } : s,
    );
    const [found] = findRodHeights(survey, feet);
    expect(found.points).toEqual(['160', '161', '162', '163']);
    expect(found.values[0]).toBeCloseTo(-1, 1);
  });

  it('names no shot where the ground itself is rough', () => {
    const random = seeded(9);
    const rough = road(60).map((s, i) => ({
      ...s,
      elevation: s.elevation + (i % 3 === 0 ? 2 * random() : 0),
    }));
    const found = findRodHeights(rough, metres);
    expect(found.length).toBeLessThan(2);
  });

  it('calls a single shot a blunder of its own', () => {
    const survey = road(40).map((s, i) => (i === 77 ? { ...s, elevation: s.elevation + 0.25 } : s));
    expect(findRodHeights(survey, metres)).toMatchObject([{ code: 'offSurface', points: ['177'] }]);
  });
});

describe('what words say of shots', () => {
  it('marks float solutions by code or by the solution column', () => {
    const survey = shots([0, 0, 1], [1, 0, 1], [2, 0, 1], [3, 0, 1]);
    survey[0].code = 'CL FLOAT';
    survey[1].fix = 'Flt';
    survey[2].fix = 'FIX';
    survey[3].code = 'FLOATER';
    expect(findFloatShots(survey)).toMatchObject([{ points: ['100', '101'], setAside: true }]);
  });

  it('names shots of another day or surface than most', () => {
    const survey = shots([0, 0, 1], [1, 0, 1], [2, 0, 1]);
    survey[0].epoch = '2031-05-02 08:10';
    survey[1].epoch = '2031-05-02T16:00:01';
    survey[2].epoch = '2031-06-11';
    expect(findMixedEpochs(survey)).toMatchObject([{ points: ['102'] }]);
    expect(findMixedEpochs(survey.slice(0, 2))).toEqual([]);
  });

  it('lists codes that the code list lacks, with how often they stand', () => {
    const survey = shots([0, 0, 1], [1, 0, 1], [2, 0, 1]);
    survey[0].code = 'CL1';
    survey[1].code = 'ZZ';
    survey[2].code = 'ZZ';
    expect(findUnknownCodes(survey)[0].message).toContain('ZZ x 2');
  });

  it('leaves shots without an elevation out of the later checks', () => {
    const survey = road(30);
    survey[40] = { ...survey[40], elevation: -999 };
    expect(checkShots(survey, metres).filter(({ code }) => code !== 'unknownCodes')).toMatchObject([
      { code: 'sentinel' },
    ]);
  });
});

describe('register rims against surveyed rims', () => {
  const rims: RegisterRim[] = Array.from({ length: 9 }, (_, i) => ({
    id: `C-${i}`,
    east: 40 * i,
    north: 7 * i,
    elevation: 210 + i,
  }));
  const shotsAt = (of: (rim: RegisterRim, i: number) => number): RimShot[] =>
    rims.map((rim, i) => ({
      point: `p${i}`,
      row: i + 1,
      east: rim.east + 0.2,
      north: rim.north - 0.1,
      elevation: of(rim, i),
    }));
  const scatter = (i: number) => 0.004 * ((i % 3) - 1);

  it('finds nothing where they agree', () => {
    const result = compareRims(
      rims,
      shotsAt((rim, i) => rim.elevation + scatter(i)),
    );
    expect(result).toMatchObject({ pairs: 9, findings: [] });
  });

  it('shows a datum fault as one constant, with its spread', () => {
    const { median, spread, findings } = compareRims(
      rims,
      shotsAt((rim, i) => rim.elevation + 0.31 + scatter(i)),
    );
    expect(median).toBeCloseTo(0.31, 3);
    expect(spread).toBeLessThan(0.01);
    expect(findings).toMatchObject([{ code: 'rimOffset' }]);
  });

  it.each([
    ['feet taken for metres', metresPer.ft],
    ['metres taken for feet', 1 / metresPer.ft],
  ])('shows %s as a factor', (_, factor) => {
    const { findings, factor: shared } = compareRims(
      rims,
      shotsAt((rim, i) => rim.elevation * factor + scatter(i)),
    );
    expect(findings).toMatchObject([{ code: 'rimUnit' }]);
    expect(shared).toBeCloseTo(factor, 9);
  });

  it('names the odd one out, not the others', () => {
    const { findings } = compareRims(
      rims,
      shotsAt((rim, i) => rim.elevation + scatter(i) + (i === 4 ? 0.5 : 0)),
    );
    expect(findings).toMatchObject([{ code: 'rimDiffers', points: ['C-4', 'p4'] }]);
  });

  it('pairs a shot that carries the name of the structure, though another lies nearer', () => {
    const named = shotsAt((rim) => rim.elevation + 0.2).map((shot, i) => ({
      ...shot,
      point: `c-${i}`,
      east: shot.east + 8,
    }));
    const others = shotsAt((rim) => rim.elevation);
    const { pairs, median } = compareRims(rims, [...others, ...named]);
    expect(pairs).toBe(9);
    expect(median).toBeCloseTo(0.2, 9);
  });

  it('compares only what lies within reach, and says nothing of the whole from two', () => {
    const moved = shotsAt((rim) => rim.elevation + 1).map((s) => ({ ...s, east: s.east + 5 }));
    expect(compareRims(rims, moved)).toEqual({
      pairs: 0,
      median: null,
      spread: null,
      factor: null,
      findings: [],
    });
    expect(
      compareRims(
        rims.slice(0, 2),
        shotsAt((rim) => rim.elevation + 1),
      ).findings,
    ).toEqual([]);
  });
});

describe('as-builts', () => {
  const planned = Array.from({ length: 6 }, (_, i) => ({ id: `C-${i}`, planned: 100 + i / 10 }));
  it('asks for the shots where they equal the plan to the millimetre', () => {
    const copied = findCopiedAsBuilts(planned.map((p) => ({ ...p, built: p.planned + 0.0002 })));
    expect(copied).toMatchObject([
      { code: 'copiedAsBuilts', points: ['C-0', 'C-1', 'C-2', 'C-3', 'C-4', 'C-5'] },
    ]);
  });
  it('takes real scatter, and one lucky hit, for measured', () => {
    expect(findCopiedAsBuilts(planned.map((p, i) => ({ ...p, built: p.planned + 0.002 * (i % 3) })))).toEqual(
      [],
    );
  });
});
