import { sql } from 'kysely';
import { makeProjection } from '#core/crs/crs.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { makeRingCatalogue } from '../../../server/demo/catalogue.ts';
import { insertAgency } from '../../../server/store/agencies.ts';
import type { Database } from '../../../server/store/database.ts';
import { crsOf, insertProject } from '../../../server/store/projects.ts';
import { insertRingCatalogue } from '../../../server/store/ring-catalogues.ts';
import { insertStreets } from '../../../server/store/streets.ts';
import { insertSurface } from '../../../server/store/surfaces.ts';
import { applyStructureChanges } from '../../../server/store/tiles/changes.ts';
import { copyIn, inTransaction } from '../../../server/store/transaction.ts';
import {
  type CitySize,
  type CityStreet,
  type CityStructure,
  cityCrs,
  layStreets,
  layStructures,
  placeOn,
  usualSize,
} from './layout.ts';
import {
  coverColumns,
  coverLines,
  inPieces,
  shotColumns,
  shotLines,
  structureColumns,
  structureLines,
} from './rows.ts';

export const city = { agencyId: 'bench-city', projectId: 'overlay', surfaceId: 'finished' };

/**
 * Lays the invented city into a migrated database that has no agency of this id: its register, one project with covers
 * of the inner streets, and shots round those. Nothing is planned yet. A minute or so for the usual size.
 */
export async function layCity(database: Database, size: CitySize = usualSize): Promise<typeof city> {
  const streets = layStreets(size.structures);
  const projection = makeProjection(crsOf(cityCrs));
  const structures = [...layStructures(streets, size.structures)];
  const covers = structures.slice(0, size.covers);
  await inTransaction(database, async ({ db, sql: connection }) => {
    await insertAgency(db, { id: city.agencyId, name: 'Bench city', lengthDisplay: 'mm', policy: {} });
    await insertRingCatalogue(db, city.agencyId, toShared());
    const used = new Set(structures.map(({ street }) => street));
    await insertStreets(
      db,
      city.agencyId,
      [...used].map((street) => toStreet(street, projection.toLonLat)),
    );
    await insertProject(db, city.agencyId, {
      id: city.projectId,
      name: 'Overlay of the inner city',
      crs: cityCrs,
      elevationUnit: 'm',
      displayUnit: 'mm',
      ringCatalogueId: 'rings',
    });
    await insertSurface(db, city, { name: 'Finished', stage: 'finished', method: 'level' }, []);
    const lay = (table: string, columns: string, lines: Iterable<string>) =>
      copyIn(connection, `copy ${table} (${columns}) from stdin`, asAsync(inPieces(lines)));
    await lay('structures', structureColumns, structureLines(structures, { ...city, projection }));
    await lay('project_covers', coverColumns, coverLines(covers, city));
    await lay('shots', shotColumns, shotLines(covers, { ...city, shots: size.shots }));
    const all = sql<{
      structure_id: string;
    }>`select structure_id from structures where agency_id = ${city.agencyId}`;
    await applyStructureChanges(db, city.agencyId, all);
  });
  // As a register and its surveys are after a night in a database that looks after itself.
  await database.sql.unsafe('vacuum analyze');
  return city;
}

async function* asAsync(pieces: Iterable<Buffer>): AsyncGenerator<Buffer> {
  yield* pieces;
}

function toStreet(street: CityStreet, toLonLat: (east: number, north: number) => [number, number]) {
  const line: [number, number][] = [];
  for (let station = 0; station <= street.lengthM; station += 100) {
    const { east, north } = placeOn(street, station, 0);
    line.push(toLonLat(east, north));
  }
  return { id: street.id, name: street.name, widthM: 9, line };
}

function toShared(): RingCatalogue {
  const { rings, joint, maxChimney, ...rest } = makeRingCatalogue();
  return {
    ...rest,
    id: 'rings',
    name: 'Rings',
    rings: rings.map(({ id, thin, thick, outerDiameter, maxPerStack, cost }) => ({
      id,
      thinM: thin,
      thickM: thick,
      outerDiameterM: outerDiameter,
      maxPerStack,
      cost,
    })),
    maxChimneyM: maxChimney,
    joint: { baseM: joint.base, betweenM: joint.between, topM: joint.top },
  };
}

export type { CityStructure };
