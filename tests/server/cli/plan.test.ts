import { execFile } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { main, runPlan } from '../../../server/cli/plan.ts';
import { makeCorridor } from '../../helpers/corridor.ts';

const corridor = makeCorridor({ seed: 5, system: 'us', covers: 4 });
const metric = makeCorridor({ seed: 6, system: 'metric', covers: 3 });
let folder = '';
const at = (name: string) => join(folder, name);
const put = (name: string, content: string) => {
  writeFileSync(at(name), content);
  return at(name);
};

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'plan-'));
  for (const [name, { structuresCsv, shotsCsv, ringsJson }] of Object.entries({ us: corridor, metric })) {
    put(`${name}-structures.csv`, structuresCsv);
    put(`${name}-shots.csv`, shotsCsv);
    put(`${name}-rings.json`, ringsJson);
  }
});
afterAll(() => rmSync(folder, { recursive: true }));

/** FG is no code with a meaning of its own to this command, and is told once. */
const foundCodes = `note: codes taken as shots on the finished surface: FG x ${corridor.shotsCsv.split(',FG').length - 1}\n`;

interface Files {
  structures?: string;
  rings?: string;
  shots?: string;
  crs?: string;
}

const argv = (change: Files = {}, ...more: string[]): string[] => [
  '--structures',
  change.structures ?? at('us-structures.csv'),
  '--rings',
  change.rings ?? at('us-rings.json'),
  '--shots',
  change.shots ?? at('us-shots.csv'),
  '--crs',
  change.crs ?? 'EPSG:2264',
  ...more,
];

/** What the command would print, without a process of its own. */
async function run(parameters: string[]) {
  const out: string[] = [];
  const err: string[] = [];
  const stdout = vi.spyOn(process.stdout, 'write').mockImplementation((s) => out.push(String(s)) > 0);
  const stderr = vi.spyOn(process.stderr, 'write').mockImplementation((s) => err.push(String(s)) > 0);
  try {
    const exit = await main(parameters);
    return { exit, out: out.join(''), err: err.join('').split('\n').filter(Boolean) };
  } finally {
    stdout.mockRestore();
    stderr.mockRestore();
  }
}

const lines = corridor.structuresCsv.trim().split('\n');
const withRows = (name: string, change: (rows: string[]) => string[]) =>
  put(name, `${change([...lines]).join('\n')}\n`);
const cells = (row: string, column: string, value: string) => {
  const index = lines[0].split(',').indexOf(column);
  return row
    .split(',')
    .map((cell, i) => (i === index ? value : cell))
    .join(',');
};

describe('the plan command', () => {
  test('prints a feature with every promised property for each structure', async () => {
    const { collection, complete } = await runPlan(argv());
    expect(complete).toBe(true);
    expect(collection.type).toBe('FeatureCollection');
    expect(collection.features.map((f) => f.id)).toEqual(['C-001', 'C-002', 'C-003', 'C-004']);
    for (const { type, geometry, properties } of collection.features) {
      expect(type).toBe('Feature');
      // EPSG:2264 lies in North Carolina.
      const [lon, lat] = geometry.coordinates;
      expect(lon).toBeGreaterThan(-85);
      expect(lon).toBeLessThan(-75);
      expect(lat).toBeGreaterThan(33);
      expect(lat).toBeLessThan(37);
      const p = properties!;
      expect(Object.keys(p).sort()).toEqual(
        [
          'allowance',
          'finished',
          'id',
          'netBuildup',
          'reasons',
          'residual',
          'runnerUp',
          'stack',
          'status',
        ].sort(),
      );
      expect(Object.keys(p.finished).sort()).toEqual(
        [
          'elevation',
          'gradientEast',
          'gradientNorth',
          'method',
          'shotsUsed',
          'sigma',
          'sigmaRim',
          'surface',
        ].sort(),
      );
      expect(p.finished.surface).toBe('us-shots.csv');
      expect(['leave', 'raise', 'lower', 'review', 'remeasure', 'rebuild', 'unsurveyed']).toContain(p.status);
      expect(['met', 'notMet', 'off']).toContain(p.allowance);
      expect(p.reasons.every((r: unknown) => typeof r === 'string')).toBe(true);
      for (const { ring, azimuthDeg } of p.stack) {
        expect(ring.startsWith('Y-') ? azimuthDeg : 'turned').toBe(ring.startsWith('Y-') ? null : 'turned');
        if (azimuthDeg !== null) expect(azimuthDeg).toBeGreaterThanOrEqual(0);
        if (azimuthDeg !== null) expect(azimuthDeg).toBeLessThan(360);
      }
      expect(p.residual.worst).toBeGreaterThanOrEqual(Math.abs(p.residual.centre));
      expect(p.residual.tilt).toBeGreaterThanOrEqual(0);
    }
  });

  test('elevations come in the unit of the shots and sizes in that of the rings', async () => {
    for (const [name, truth, crs] of [
      ['us', corridor.truth, 'EPSG:2264'],
      ['metric', metric.truth, 'EPSG:25832'],
    ] as const) {
      const files = {
        structures: at(`${name}-structures.csv`),
        rings: at(`${name}-rings.json`),
        shots: at(`${name}-shots.csv`),
        crs,
      };
      const { collection } = await runPlan(argv(files));
      collection.features.forEach(({ properties: p }, i) => {
        const { finished, seat, frame, gradient } = truth.covers[i];
        const small = truth.smallPerElevation;
        // 2 mm shots: within 6 mm of the truth.
        const near = name === 'us' ? 0.24 : 6;
        expect(Math.abs(p!.finished.elevation - finished) * small).toBeLessThan(near);
        const net =
          (p!.finished.elevation - seat) * small -
          frame * Math.hypot(1, p!.finished.gradientEast, p!.finished.gradientNorth);
        // The files are in US survey feet and inches: twelve of these are two millionths longer than twelve inches.
        expect(p!.netBuildup).toBeCloseTo(net, name === 'us' ? 4 : 6);
        expect(Math.abs(p!.finished.gradientEast - gradient[0])).toBeLessThan(0.006);
      });
    }
  });

  test('nothing but one line of JSON goes to standard output, and the exit is 0', async () => {
    const { exit, out } = await run(argv());
    expect(exit).toBe(0);
    expect(out.endsWith('}\n')).toBe(true);
    expect(out.trim().split('\n')).toHaveLength(1);
    expect(JSON.parse(out).features).toHaveLength(4);
    expect(out).not.toMatch(/NaN|undefined/);
  });

  test('runs through npm as the README says', { timeout: 60_000 }, async () => {
    const root = new URL('../../../', import.meta.url).pathname;
    const npm = promisify(execFile)(
      'npm',
      ['run', '-s', 'plan', '--', ...argv({}, '--objective', 'closest')],
      { cwd: root },
    );
    const { stdout, stderr } = await npm;
    expect(JSON.parse(stdout).features).toHaveLength(4);
    expect(stderr).toBe(foundCodes);
    const failed = promisify(execFile)('npm', ['run', '-s', 'plan', '--', '--crs', 'EPSG:2264'], {
      cwd: root,
    });
    await expect(failed).rejects.toMatchObject({ code: 2, stdout: '' });
  });

  test('a shot sigma of 0, with or without a unit, turns the allowance off', async () => {
    for (const sigma of ['0', '0mm', '0.0 in']) {
      const { collection } = await runPlan(argv({}, '--shot-sigma', sigma));
      for (const { properties } of collection.features) {
        expect(properties!.allowance).toBe('off');
        expect(properties!.finished.sigma).toBe(0);
      }
    }
    const { collection } = await runPlan(argv({}, '--shot-sigma', '20mm'));
    for (const { properties } of collection.features)
      expect(properties).toMatchObject({ status: 'remeasure', stack: [], residual: null });
  });

  test('a cover without a shot near it is unsurveyed and has no finished grade', async () => {
    const far = corridor.shotsCsv.split('\n').slice(0, 20).join('\n');
    const { collection, complete } = await runPlan(argv({ shots: put('few.csv', far) }));
    expect(complete).toBe(true);
    const last = collection.features.at(-1)!.properties;
    expect(last).toMatchObject({
      status: 'unsurveyed',
      finished: null,
      stack: [],
      residual: null,
      netBuildup: null,
    });
  });
});

describe('rows that are refused', () => {
  test('each bad row is one line with row, column, value and rule; the others are planned; the exit is 2', async () => {
    const structures = withRows('bad.csv', (rows) => [
      rows[0],
      cells(rows[1], 'northing', '56O123'),
      rows[2],
      cells(rows[3], 'seat_elevation', ''),
      cells(rows[4], 'frame_height_in', '-7'),
    ]);
    const { exit, out, err } = await run(argv({ structures }));
    expect(exit).toBe(2);
    expect(JSON.parse(out).features.map((f: { id: string }) => f.id)).toEqual(['C-002', 'C-003']);
    expect(JSON.parse(out).features[1].properties).toMatchObject({
      ...{ status: 'remeasure', netBuildup: null, stack: [], residual: null },
    });
    expect(JSON.parse(out).features[1].properties.reasons.join(' ')).toContain('The seat was never measured');
    expect(err.filter((l) => !l.startsWith('note: '))).toHaveLength(3);
    expect(err[0]).toMatch(/^bad\.csv: row 2, northing "56O123": /);
    expect(err.find((l) => l.startsWith('bad.csv: row 4'))).toMatch(/seat_elevation.*C-003/);
    expect(err.find((l) => l.startsWith('bad.csv: row 5'))).toMatch(/frame_height.*"-7": /);
  });

  test('a second fault of a row is told in its one line', async () => {
    const structures = withRows('twice.csv', (rows) => [
      rows[0],
      cells(cells(rows[1], 'northing', 'north'), 'frame_height_in', 'seven'),
      rows[2],
    ]);
    const { err } = await run(argv({ structures }));
    const told = err.filter((l) => !l.startsWith('note: '));
    expect(told).toEqual([
      'twice.csv: row 2, northing "north": not a number; also frame_height_in "seven": not a number',
    ]);
  });

  test('a place of 0,0 is one line', async () => {
    const structures = withRows('nowhere.csv', (rows) => [
      rows[0],
      cells(cells(rows[1], 'northing', '0'), 'easting', '0'),
      rows[2],
    ]);
    const { exit, err } = await run(argv({ structures }));
    expect(exit).toBe(2);
    expect(err.filter((l) => l.includes('row 2'))).toEqual([
      'nowhere.csv: row 2, easting, northing: C-001 cannot be planned without it (blank or 0,0)',
    ]);
  });

  test('a register without a heading line is one line', async () => {
    const structures = withRows('bare.csv', (rows) => rows.slice(1));
    const { exit, out, err } = await run(argv({ structures }));
    expect(exit).toBe(2);
    expect(JSON.parse(out).features).toEqual([]);
    expect(err.filter((l) => l.startsWith('bare.csv'))).toEqual([
      expect.stringMatching(/^bare\.csv: row 1: "C-001,.*" is no heading line; the first line has to name/),
    ]);
  });

  test('an empty shots file is told, and so is one from elsewhere', async () => {
    const empty = await run(argv({ shots: put('empty.csv', '\n') }));
    expect(empty.exit).toBe(2);
    expect(empty.err).toEqual(['empty.csv: no shots in it']);
    const swapped = corridor.shotsCsv.replace(/^(\w+),([^,]+),([^,]+)/gm, '$1,$3,$2');
    const { exit, err } = await run(argv({ shots: put('swapped.csv', swapped) }));
    expect(exit).toBe(0);
    expect(err).toContain(
      'note: northing and easting of swapped.csv look as if they were swapped: so read, they lie about the structures',
    );
  });

  test('a seat at 0 and a stretched grid are told', async () => {
    const structures = withRows('zero.csv', (rows) => [
      rows[0],
      cells(rows[1], 'seat_elevation', '0'),
      ...rows.slice(2),
    ]);
    const { err, exit, out } = await run(argv({ structures }));
    expect(exit).toBe(2);
    expect(err.filter((l) => l.startsWith('zero.csv'))).toEqual([
      'zero.csv: row 2, seat_elevation "0": stands for no elevation, so C-001 has none; the seat has to be measured before a stack can be planned',
    ]);
    expect(JSON.parse(out).features[0].properties.status).toBe('remeasure');
    const mercator = await run(argv({ crs: 'EPSG:3857' }));
    expect(mercator.err.filter((l) => l.includes('m on the ground here'))).toHaveLength(1);
  });

  test('a second row of an id and a blank id are refused', async () => {
    const structures = withRows('ids.csv', (rows) => [
      rows[0],
      rows[1],
      cells(rows[2], 'id', 'C-001'),
      cells(rows[3], 'id', ''),
      rows[4],
    ]);
    const { exit, out, err } = await run(argv({ structures }));
    expect(exit).toBe(2);
    expect(JSON.parse(out).features.map((f: { id: string }) => f.id)).toEqual(['C-001', 'C-004']);
    expect(err.filter((l) => l.startsWith('ids.csv: row 3, id "C-001": '))).toHaveLength(1);
    expect(err.filter((l) => l.startsWith('ids.csv: row 4, id'))).toHaveLength(1);
  });

  test('a catalogue with marks counted from the road needs every cover’s bearing', async () => {
    const structures = withRows('bearing.csv', (rows) => [
      rows[0],
      rows[1],
      cells(rows[2], 'road_bearing_deg', ''),
    ]);
    const { exit, out, err } = await run(argv({ structures }));
    expect(exit).toBe(2);
    expect(JSON.parse(out).features).toHaveLength(1);
    expect(err.filter((l) => !l.startsWith('note: '))).toEqual([
      expect.stringMatching(/^bearing\.csv: row 3, road_bearing_deg: C-002 cannot be planned without it/),
    ]);
    // One free to turn does not.
    const rings = JSON.parse(corridor.ringsJson);
    const free = put('free.json', JSON.stringify({ ...rings, indexPositions: 0 }));
    expect((await run(argv({ structures, rings: free }))).exit).toBe(0);
    const flat = put(
      'flat.json',
      JSON.stringify({
        ...rings,
        rings: rings.rings.filter((r: { thin: number; thick: number }) => r.thin === r.thick),
      }),
    );
    expect((await run(argv({ structures, rings: flat }))).exit).toBe(0);
  });

  test('a bad shot is one line and unknown codes are listed once, blank ones by name', async () => {
    const [first, second, ...rest] = corridor.shotsCsv.split('\n');
    const odd = [first.replace(/EP$/, 'XYZ'), second.replace(/FG$/, ''), '9999,1,2,abc,FG', ...rest].join(
      '\n',
    );
    const { exit, err } = await run(argv({ shots: put('odd.csv', odd) }));
    expect(exit).toBe(2);
    expect(err.filter((l) => l.startsWith('shots: row 3, elevation "abc": '))).toHaveLength(1);
    const listed = err.filter((l) => l.includes('codes taken as shots on the finished surface'));
    expect(listed).toHaveLength(1);
    expect(listed[0]).toMatch(/FG x \d+/);
    expect(listed[0]).toMatch(/XYZ x 1/);
    expect(listed[0]).toMatch(/\(blank\) x 1/);
  });

  test('points outside the area of use are told and planned all the same', async () => {
    const { exit, out, err } = await run(argv({ crs: 'EPSG:2222' }));
    expect(exit).toBe(0);
    expect(JSON.parse(out).features).toHaveLength(4);
    expect(err.some((l) => l.startsWith('note: outside the area of use of EPSG:2222'))).toBe(true);
  });
});

describe('commands that are refused', () => {
  const refused = async (parameters: string[], line: RegExp) => {
    const { exit, out, err } = await run(parameters);
    expect(exit).toBe(2);
    expect(out).toBe('');
    expect(err[0]).toMatch(line);
    expect(err.length).toBeLessThanOrEqual(3);
  };

  test.each<[string, () => string[], RegExp]>([
    ['a file that is missing', () => argv({ shots: at('none.csv') }), /none\.csv: no such file/],
    ['a folder for a file', () => argv({ shots: folder }), /plan-/],
    ['a catalogue that is no JSON', () => argv({ rings: at('us-shots.csv') }), /us-shots\.csv: not JSON/],
    ['no coordinate system', () => argv().slice(0, 6), /--crs is missing/],
    ['an unknown one', () => argv({ crs: 'EPSG:999999' }), /999999/],
    ['one in degrees', () => argv({ crs: 'EPSG:4326' }), /4326/],
    ['neither shots nor design', () => [...argv().slice(0, 4), ...argv().slice(6)], /--shots/],
    ['both of them', () => argv({}, '--design', at('d.xml')), /--shots and --design/],
    ['an unknown option', () => argv({}, '--fast'), /--fast/],
    ['a word too many', () => argv({}, 'more'), /more/],
    ['an option without its value', () => argv({}, '--tolerance'), /tolerance/],
    [
      'an objective of its own',
      () => argv({}, '--objective', 'best'),
      /--objective "best": must be fewest, closest or cheapest/,
    ],
    [
      'cheapest without costs',
      () => argv({}, '--objective', 'cheapest'),
      /every ring needs a cost; without one: Y-075/,
    ],
    ['a bare tolerance', () => argv({}, '--tolerance', '6'), /--tolerance "6": .*unit/],
    ['a tolerance of nothing', () => argv({}, '--tolerance', '0in'), /--tolerance "0in": must be above 0/],
    ['a negative sigma', () => argv({}, '--shot-sigma', '-2mm'), /shot-sigma/],
    ['a bare sigma', () => argv({}, '--shot-sigma', '2'), /--shot-sigma "2": .*unit/],
    ['a blank sigma, which is not 0', () => argv({}, '--shot-sigma', ''), /--shot-sigma/],
  ])('%s', async (_, parameters, line) => refused(parameters(), line));

  test('a catalogue names every fault it has', async () => {
    const rings = JSON.parse(corridor.ringsJson);
    rings.rings[0].thin = 3;
    delete rings.maxRings;
    const { exit, out, err } = await run(argv({ rings: put('faulty.json', JSON.stringify(rings)) }));
    expect({ exit, out }).toEqual({ exit: 2, out: '' });
    expect(err).toHaveLength(2);
    expect(err.join('\n')).toMatch(/ring Y-075\.thin/);
    expect(err.join('\n')).toMatch(/maxRings/);
  });

  test('a catalogue may begin with a byte order mark', async () => {
    const rings = put('marked.json', `\uFEFF${corridor.ringsJson}`);
    expect((await run(argv({ rings }))).exit).toBe(0);
  });

  test('a catalogue of more stacks than can be tried', async () => {
    const rings = JSON.parse(corridor.ringsJson);
    rings.rings = Array.from({ length: 22 }, (_, i) => ({
      id: `K${i}`,
      thin: 0.1 + i / 100,
      thick: 0.1 + i / 100,
      outerDiameter: 34,
      maxPerStack: 9,
    }));
    rings.maxRings = 50;
    await refused(argv({ rings: put('many.json', JSON.stringify(rings)) }), /many\.json: .*stacks/);
  });

  test('cheapest with a cost on every ring is planned', async () => {
    const rings = JSON.parse(corridor.ringsJson);
    rings.rings.forEach((r: { cost: number }, i: number) => {
      r.cost = 10 + i;
    });
    const { exit } = await run(
      argv({ rings: put('priced.json', JSON.stringify(rings)) }, '--objective', 'cheapest'),
    );
    expect(exit).toBe(0);
  });
});
