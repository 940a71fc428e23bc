import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { OpenedFile } from '#core/intake/types.ts';
import { memorySource } from '#core/intake/zip.ts';
import type { Problem } from '#core/problem.ts';
import { geoPackageReader } from '../../../server/intake/geoPackage.ts';
import { Workplace } from '../../../server/intake/workplace.ts';
import { featuresOf } from '../../helpers/gisFiles.ts';

let workplace: Workplace;
beforeAll(async () => {
  workplace = await Workplace.make();
});
afterAll(() => workplace.remove());

const stem = `rimplane-test-${process.pid}`;
let made = 0;

/** Bytes of a GeoPackage with the tables that OGC 12-128r19 asks for and what `fill` adds. */
function geoPackage(fill: (database: DatabaseSync) => void, options: { wal?: boolean } = {}): Uint8Array {
  const path = join(tmpdir(), `${stem}-${++made}.gpkg`);
  const database = new DatabaseSync(path);
  if (options.wal) database.exec('PRAGMA journal_mode = WAL');
  database.exec(`
    PRAGMA application_id = 1196444487;
    CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT, srs_id INTEGER PRIMARY KEY, organization TEXT,
      organization_coordsys_id INTEGER, definition TEXT, description TEXT);
    CREATE TABLE gpkg_contents (table_name TEXT PRIMARY KEY, data_type TEXT, identifier TEXT, srs_id INTEGER);
    CREATE TABLE gpkg_geometry_columns (table_name TEXT, column_name TEXT, geometry_type_name TEXT, srs_id INTEGER, z, m);
    INSERT INTO gpkg_spatial_ref_sys VALUES ('undefined', -1, 'NONE', -1, 'undefined', ''),
      ('feet', 2264, 'EPSG', 2264, 'PROJCS["x",GEOGCS["g",DATUM["d",SPHEROID["s",6378137,298.257222101]],UNIT["degree",0.0174532925199433]],PROJECTION["Lambert_Conformal_Conic_2SP"],UNIT["US survey foot",0.304800609601219]]', '');`);
  fill(database);
  database.close();
  return readFileSync(path);
}

function addCovers(database: DatabaseSync, srs = 2264): void {
  database.exec(`
    CREATE TABLE covers (fid INTEGER PRIMARY KEY, geom BLOB, "cover ""id""" TEXT, rim_ft REAL, set_flush BOOLEAN, photo BLOB);
    INSERT INTO gpkg_contents VALUES ('covers', 'features', 'covers', ${srs});
    INSERT INTO gpkg_geometry_columns VALUES ('covers', 'geom', 'POINT', ${srs}, 2, 0);`);
  const insert = database.prepare('INSERT INTO covers VALUES (?, ?, ?, ?, ?, ?)');
  insert.run(1, pointBlob(1450000.25, 540000.5), '0012', 677.609, 1, null);
  insert.run(2, null, '12', null, 0, null);
  insert.run(9007199254740993n, pointBlob(1450001, 540001), '100E10', 0, null, Buffer.alloc(3));
}

function pointBlob(x: number, y: number): Buffer {
  const blob = Buffer.alloc(29);
  blob.write('GP', 'latin1');
  blob[3] = 1;
  blob.writeInt32LE(2264, 4);
  blob[8] = 1;
  blob.writeUInt32LE(1, 9);
  blob.writeDoubleLE(x, 13);
  blob.writeDoubleLE(y, 21);
  return blob;
}

function read(bytes: Uint8Array): Promise<OpenedFile | Problem> {
  return geoPackageReader(workplace).open([memorySource('town.gpkg', bytes)]);
}

async function open(bytes: Uint8Array): Promise<OpenedFile> {
  const opened = await read(bytes);
  if ('code' in opened) throw new Error(opened.message);
  return opened;
}

describe('the GeoPackage reader', () => {
  it('finds a geometry column of any name, in a table of any name, with heights and measures, keyed by text', async () => {
    const place = Buffer.alloc(45);
    pointBlob(1450000.25, 540000.5).copy(place);
    // Well-known binary with both: 3001 (OGC 06-103r4, 8.2.8).
    place.writeUInt32LE(3001, 9);
    place.writeDoubleLE(677.6, 29);
    place.writeDoubleLE(7, 37);
    const bytes = geoPackage((database) => {
      database.exec(`
        CREATE TABLE "Mann löcher" ("Deckel-Nr" TEXT PRIMARY KEY, "shape pt" BLOB, "Deckelhöhe" REAL);
        INSERT INTO gpkg_contents VALUES ('Mann löcher', 'features', 'x', 2264);
        INSERT INTO gpkg_geometry_columns VALUES ('Mann löcher', 'shape pt', 'POINT', 2264, 1, 1);`);
      database.prepare('INSERT INTO "Mann löcher" VALUES (?, ?, ?)').run('D 1', place, 677.5);
    });
    const [layer] = (await open(bytes)).layers;
    expect(layer.columns.map(({ name }) => name)).toEqual(['Deckel-Nr', 'Deckelhöhe']);
    const features = [];
    for await (const batch of layer.features()) features.push(...batch);
    expect(features).toMatchObject([
      { geometry: { type: 'point', position: [1450000.25, 540000.5, 677.6] }, values: ['D 1', 677.5] },
    ]);
  });

  it('reads feature tables with their columns, system and unit, ids as they are written', async () => {
    const opened = await open(geoPackage((database) => addCovers(database)));
    const [layer] = opened.layers;
    expect(opened.crs).toMatchObject({ epsg: 2264, from: 'gpkg_spatial_ref_sys' });
    expect(opened.units).toEqual({ horizontal: 'us-ft', vertical: null });
    expect(layer).toMatchObject({ name: 'covers', geometry: 'point' });
    expect(layer.columns).toEqual([
      { name: 'fid', type: 'number' },
      { name: 'cover "id"', type: 'text' },
      { name: 'rim_ft', type: 'number' },
      { name: 'set_flush', type: 'boolean' },
    ]);
    expect(await featuresOf(layer)).toEqual([
      {
        row: 1,
        geometry: { type: 'point', position: [1450000.25, 540000.5, null] },
        values: [1, '0012', 677.609, true],
      },
      { row: 2, geometry: null, values: [2, '12', null, false] },
      {
        row: 3,
        geometry: { type: 'point', position: [1450001, 540001, null] },
        values: ['9007199254740993', '100E10', 0, null],
      },
    ]);
  });

  it('assumes no system where the file says undefined', async () => {
    expect((await open(geoPackage((database) => addCovers(database, -1)))).crs).toBeNull();
  });

  it('reads tables of attributes, and files that were left in WAL mode', async () => {
    const bytes = geoPackage(
      (database) =>
        database.exec(`CREATE TABLE rings (name TEXT, height_mm REAL); INSERT INTO rings VALUES ('R25', 25);
          INSERT INTO gpkg_contents VALUES ('rings', 'attributes', 'rings', 0)`),
      { wal: true },
    );
    expect(bytes[18]).toBe(2);
    const [layer] = (await open(bytes)).layers;
    expect(layer.geometry).toBe('none');
    expect(await featuresOf(layer)).toEqual([{ row: 1, geometry: null, values: ['R25', 25] }]);
  });

  it('names a geometry that cannot be read and keeps its record', async () => {
    const opened = await open(
      geoPackage((database) => {
        addCovers(database);
        database.exec("UPDATE covers SET geom = x'0102' WHERE fid = 1");
      }),
    );
    expect((await featuresOf(opened.layers[0]))[0].geometry).toBeNull();
    expect(opened.problems).toMatchObject([{ code: 'geometry', row: 1, column: 'geom' }]);
  });

  it('reads no views, virtual tables or generated columns: they can compute without end', async () => {
    const endless = 'WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i AS fid FROM n';
    const opened = await open(
      geoPackage((database) => {
        addCovers(database);
        database.exec(`CREATE VIEW endless AS ${endless};
          INSERT INTO gpkg_contents VALUES ('endless', 'features', 'endless', 2264);
          CREATE TABLE computed (id TEXT, big TEXT GENERATED ALWAYS AS (hex(zeroblob(100000000))));
          INSERT INTO computed (id) VALUES ('a');
          INSERT INTO gpkg_contents VALUES ('computed', 'attributes', 'computed', 0)`);
      }),
    );
    expect(opened.layers.map(({ name }) => name)).toEqual(['covers', 'computed']);
    expect(opened.layers[1].columns).toEqual([{ name: 'id', type: 'text' }]);
    expect(opened.problems).toMatchObject([{ code: 'tableUnusable' }]);
  });

  it('quotes whatever a table is called', async () => {
    const name = 'a"; DROP TABLE x; --';
    const opened = await open(
      geoPackage((database) => {
        database.exec(`CREATE TABLE "${name.replaceAll('"', '""')}" (id TEXT)`);
        database.prepare("INSERT INTO gpkg_contents VALUES (?, 'attributes', ?, 0)").run(name, name);
      }),
    );
    expect(opened.layers[0].name).toBe(name);
    expect(await featuresOf(opened.layers[0])).toEqual([]);
  });

  it('refuses in one line what is no GeoPackage', async () => {
    const noTables = geoPackage((database) => database.exec('DROP TABLE gpkg_contents'));
    for (const bytes of [
      new Uint8Array(0),
      Buffer.from('SQLite format 3\0'),
      Buffer.alloc(5000, 7),
      noTables,
    ]) {
      const opened = await read(bytes);
      expect(opened).toMatchObject({ code: 'notGeoPackage' });
      expect('message' in opened && opened.message).not.toContain('\n');
    }
    expect(await read(geoPackage(() => {}))).toMatchObject({ code: 'noTables' });
  });

  it('stops at a row that is larger than any cover', async () => {
    const opened = await open(
      geoPackage((database) => {
        addCovers(database);
        database.prepare('UPDATE covers SET geom = zeroblob(17000000) WHERE fid = 2').run();
      }),
    );
    expect(await featuresOf(opened.layers[0])).toHaveLength(1);
    expect(opened.problems).toMatchObject([{ code: 'damaged', row: 2 }]);
  });

  it('never throws and always ends, whatever bytes come', async () => {
    const valid = geoPackage((database) => {
      addCovers(database);
      const insert = database.prepare('INSERT INTO covers VALUES (?, ?, ?, ?, ?, ?)');
      for (let i = 10; i < 400; i++) insert.run(i, pointBlob(i, i), `MH-${i}`, i, 1, null);
    });
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(fc.nat(valid.length - 1), fc.nat(255)), { minLength: 1, maxLength: 40 }),
        async (changes) => {
          const copy = Uint8Array.from(valid);
          for (const [at, byte] of changes) copy[at] = byte;
          const opened = await read(copy);
          for (const layer of 'code' in opened ? [] : opened.layers) await featuresOf(layer);
        },
      ),
      { numRuns: 150 },
    );
  }, 60_000);

  it('leaves nothing behind when its place is removed', async () => {
    const place = await Workplace.make();
    const kept = await place.keep('../../a.gpkg', memorySource('a', new Uint8Array(3)).chunks());
    expect(kept.name).toBe('../../a.gpkg');
    expect(await kept.bytes(1, 5)).toHaveLength(2);
    await place.remove();
    expect(existsSync(kept.path)).toBe(false);
  });
});

afterAll(async () => {
  const { rm } = await import('node:fs/promises');
  for (const name of readdirSync(tmpdir())) if (name.startsWith(stem)) await rm(join(tmpdir(), name));
});
