import { describe, expect, test } from 'vitest';
import { insideArea, makeProjection } from '#core/crs/crs.ts';
import { planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy } from '#core/plan/policy.ts';
import type { CoverPlan, PlanningStatus } from '#core/plan/types.ts';
import { toCover } from '#core/register/cover.ts';
import { readRegisterCsv } from '#core/register/csv.ts';
import { makeSolver } from '#core/stack/solve.ts';
import { readPnezd } from '#core/survey/pnezd.ts';
import { findCrs } from '../../server/crs/epsg.ts';
import { placeOf, stationOf } from '../../server/demo/alignment.ts';
import { makeRandom } from '../../server/demo/random.ts';
import { surfaceAt } from '../../server/demo/roadSurface.ts';
import { makeStreets, type Street } from '../../server/demo/streets.ts';
import { makeTown, type Town } from '../../server/demo/town.ts';
import { demoSeed, registerCsv, shotsCsv } from '../../server/demo/write.ts';

const town = makeTown(demoSeed);
const streets = new Map(makeStreets(makeRandom(demoSeed)).map((street) => [street.id, street]));
const found = findCrs(town.project.crs);
if ('message' in found) throw new Error(found.message);
const crs = found;

function planTown({
  structures,
  projectCovers,
  shots,
  ringCatalogue,
  project,
  surface,
}: Town): Map<string, CoverPlan> {
  const rows = new Map(structures.map((row) => [row.id, row]));
  const covers = projectCovers.map(({ id }) => {
    const cover = toCover(rows.get(id)!);
    if ('code' in cover) throw new Error(cover.message);
    return cover;
  });
  const context = {
    survey: prepareSurvey(shots, covers, { policy: defaultPolicy, name: surface.name }),
    solver: makeSolver(ringCatalogue),
    policy: defaultPolicy,
    treatment: project.treatment,
  };
  return new Map(covers.map((cover) => [cover.id, planCover(cover, context)]));
}

describe('the town', () => {
  test('is the same for the same seed, and another for another', () => {
    expect(makeTown(demoSeed)).toEqual(town);
    expect(makeTown(demoSeed + 1).shots).not.toEqual(town.shots);
  });

  test('has some 3,000 structures of several owners and kinds, each id once', () => {
    expect(town.structures.length).toBeGreaterThan(2700);
    expect(town.structures.length).toBeLessThan(3300);
    expect(new Set(town.structures.map(({ id }) => id)).size).toBe(town.structures.length);
    expect(new Set(town.structures.map(({ owner }) => owner)).size).toBeGreaterThanOrEqual(5);
    expect(new Set(town.structures.map(({ kind }) => kind)).size).toBeGreaterThanOrEqual(5);
  });

  test('lies inside the area of use of its system, and its streets are drawn in degrees', () => {
    const { toLonLat } = makeProjection(crs);
    for (const { east, north } of town.structures) {
      expect(insideArea(crs, ...toLonLat(east!, north!))).toBe(true);
    }
    for (const { line, lonLat } of town.streets) {
      expect(lonLat).toHaveLength(line.length);
      expect(insideArea(crs, ...lonLat[0])).toBe(true);
    }
  });

  test('has an overlay of about 180 covers on straight, curved, banked and crossing streets', () => {
    expect(town.projectCovers.length).toBeGreaterThan(150);
    expect(town.projectCovers.length).toBeLessThan(210);
    const used = [...new Set(town.projectCovers.map(({ street }) => streets.get(street)!))];
    expect(used.some(({ section }) => section.form === 'banked')).toBe(true);
    expect(used.some(({ section }) => section.form === 'crowned')).toBe(true);
    expect(used.some(({ line }) => line.elements.some(({ curvature }) => curvature !== 0))).toBe(true);
    expect(used.some(({ yieldsTo }) => yieldsTo !== null && used.includes(yieldsTo))).toBe(true);
  });
});

describe('project covers', () => {
  const rows = new Map(town.structures.map((row) => [row.id, row]));
  const drawn = new Map(town.streets.map((street) => [street.id, street]));

  test('stand at their station and offset of the drawn centre line', () => {
    for (const { id, street, stationM, offsetM } of town.projectCovers) {
      const { line } = drawn.get(street)!;
      const nearest = nearestOnPolyline(line, [rows.get(id)!.east!, rows.get(id)!.north!]);
      // A thousandth of a foot on straight streets; on arcs the chord of 2 m adds up to 4 mm across, 0.1 m along.
      const straight = line.length === 2;
      expect(Math.abs(nearest.offset - offsetM)).toBeLessThan(straight ? 0.0005 : 0.006);
      expect(Math.abs(nearest.station - stationM)).toBeLessThan(straight ? 0.0005 : 0.1);
    }
  });

  test('lie on the pavement, inside the limits of the overlay', () => {
    for (const { street, stationM, offsetM } of town.projectCovers) {
      expect(Math.abs(offsetM)).toBeLessThan(streets.get(street)!.width / 2);
      const limits = town.project.limits.find((limit) => limit.street === street)!;
      expect(stationM).toBeGreaterThan(limits.fromM);
      expect(stationM).toBeLessThan(limits.toM);
    }
  });
});

describe('the survey', () => {
  const onSurface = town.shots.filter(({ role }) => role !== 'rim');
  const errors = onSurface.map((shot) => ({ shot, error: shot.elevation - truthAt(shot.east, shot.north) }));

  test('has 2 mm shots and 20 mm shots as recorded, and a few busts of 0.1 to 0.3 m', () => {
    const spread = (sigma: number): number => {
      const kept = errors.filter(({ shot, error }) => shot.sigma === sigma && Math.abs(error) < 0.09);
      return Math.sqrt(kept.reduce((sum, { error }) => sum + error * error, 0) / kept.length);
    };
    expect(spread(0.002)).toBeGreaterThan(0.0018);
    expect(spread(0.002)).toBeLessThan(0.0023);
    expect(spread(0.02)).toBeGreaterThan(0.013);
    expect(spread(0.02)).toBeLessThan(0.027);
    const busts = errors.filter(({ error }) => Math.abs(error) >= 0.09);
    expect(busts.length).toBeGreaterThan(10);
    expect(busts.length).toBeLessThan(60);
    expect(busts.every(({ error }) => Math.abs(error) < 0.37)).toBe(true);
  });

  test('codes the crown on some streets and not on others', () => {
    expect(new Set(town.shots.map(({ code }) => code))).toEqual(new Set(['CL', 'EP', 'GU', 'MH', 'RIM', '']));
  });
});

describe('the plan of the town', () => {
  const plans = planTown(town);
  const every: PlanningStatus[] = ['unsurveyed', 'remeasure', 'review', 'rebuild', 'lower', 'raise', 'leave'];

  test.each([demoSeed, 1, 2, 3])('with seed %d every status occurs, and most covers are raised', (seed) => {
    const planned = seed === demoSeed ? plans : planTown(makeTown(seed));
    const statuses = [...planned.values()].map(({ status }) => status);
    expect(new Set(statuses)).toEqual(new Set(every));
    expect(statuses.filter((status) => status === 'raise').length).toBeGreaterThan(statuses.length / 2);
  });

  test('frames planned within the allowance end within the tolerance of the true surface, all round', () => {
    const rows = new Map(town.structures.map((row) => [row.id, row]));
    const worst = [...plans].flatMap(([id, { status, allowance, stack, residual, finished }]) => {
      if (status !== 'raise' || allowance !== 'met' || stack.length === 0) return [];
      const { east, north, rimDiameter } = rows.get(id)!;
      const street = streets.get(town.projectCovers.find((cover) => cover.id === id)!.street)!;
      const around = Array.from({ length: 24 }, (_, step) => {
        const [dEast, dNorth] = [Math.sin((step * Math.PI) / 12), Math.cos((step * Math.PI) / 12)].map(
          (unit) => (unit * rimDiameter!) / 2,
        );
        const plane = finished!.elevation + finished!.gradient[0] * dEast + finished!.gradient[1] * dNorth;
        return Math.abs(plane - surfaceAt(street, stationOf(street.line, east! + dEast, north! + dNorth)));
      });
      return [{ id, error: Math.max(...around) + residual!.worst }];
    });
    expect(worst.length).toBeGreaterThan(80);
    // The plane's error and the stack's are added at their worst, which is more than they make together.
    const past = worst.filter(({ error }) => error > defaultPolicy.tolerance);
    expect(past.length, JSON.stringify(past)).toBeLessThanOrEqual(worst.length * 0.02);
  });
});

describe('the files of the overlay', () => {
  const units = { metresPerUnit: crs.metresPerUnit, elevationMetresPerUnit: crs.metresPerUnit };

  test('are read back as the town in memory, to the last bit', () => {
    const shots = readPnezd(shotsCsv(town.shots), units);
    expect([shots.problems, shots.warnings]).toEqual([[], []]);
    expect(shots.shots).toEqual(town.shots);
    const register = readRegisterCsv(registerCsv(town), units);
    expect([register.problems, register.warnings]).toEqual([[], []]);
    const inProject = new Set(town.projectCovers.map(({ id }) => id));
    const kept = town.structures.filter(({ id }) => inProject.has(id));
    expect(register.rows).toEqual(
      kept.map((row, index) => ({ ...row, row: index + 2, structureDepth: null, structureDiameter: null })),
    );
  });
});

/** True elevation at a grid place: of the overlay street on whose pavement it lies. */
function truthAt(east: number, north: number): number {
  const on = town.project.limits
    .map(({ street, fromM, toM }) => ({ street: streets.get(street)!, fromM, toM }))
    .map(({ street, fromM, toM }) => ({ street, fromM, toM, place: stationOf(street.line, east, north) }))
    .filter(({ street, fromM, toM, place }) => {
      const inside = place.station > fromM - 3 && place.station < toM + 3;
      return inside && Math.abs(place.offset) <= street.width / 2 + 0.01;
    })
    .sort((a, b) => Math.abs(a.place.offset) - Math.abs(b.place.offset));
  // At a crossing the surface of the street that yields is that of the other one.
  const { street, place } = on.find((candidate) => candidate.street.yieldsTo === null) ?? on[0];
  return surfaceAt(street, place);
}

function nearestOnPolyline(line: Town['streets'][number]['line'], [east, north]: [number, number]) {
  let best = { distance: Number.POSITIVE_INFINITY, station: 0, offset: 0 };
  let along = 0;
  for (let leg = 1; leg < line.length; leg++) {
    const [dEast, dNorth] = [line[leg][0] - line[leg - 1][0], line[leg][1] - line[leg - 1][1]];
    const length = Math.hypot(dEast, dNorth);
    const [pEast, pNorth] = [east - line[leg - 1][0], north - line[leg - 1][1]];
    const run = Math.min(length, Math.max(0, (pEast * dEast + pNorth * dNorth) / length));
    const distance = Math.hypot(pEast - (run * dEast) / length, pNorth - (run * dNorth) / length);
    if (distance < best.distance) {
      const side = Math.sign(pEast * dNorth - pNorth * dEast);
      best = { distance, station: along + run, offset: side * distance };
    }
    along += length;
  }
  return best;
}

test('a street’s place and station are each other’s inverse, on arcs too', () => {
  for (const street of streets.values()) {
    for (let station = 1; station < street.line.length; station += 37) {
      for (const offset of [-6, 0, 4.5]) checkPlace(street, station, offset);
    }
  }
});

function checkPlace(street: Street, station: number, offset: number): void {
  const back = stationOf(street.line, ...placeOf(street.line, { station, offset }));
  expect(back.station).toBeCloseTo(station, 6);
  expect(back.offset).toBeCloseTo(offset, 6);
}
