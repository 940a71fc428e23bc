import { makeProjection } from '#core/crs/crs.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import type { RingCatalogue as SharedCatalogue } from '#shared/ring-catalogue.ts';
import { makeStreetPlacer } from '../place-on-street.ts';
import { slugOf } from '../slug.ts';
import { insertAgency, listAgencies, lockDemo } from '../store/agencies.ts';
import { assign, pickIds } from '../store/assignments.ts';
import { upsertCovers } from '../store/covers.ts';
import type { Database } from '../store/database.ts';
import { putVacuumTable } from '../store/field/vacuum-tables.ts';
import { crsOf, insertProject } from '../store/projects.ts';
import { recordRims } from '../store/rim-records.ts';
import { insertRingCatalogue } from '../store/ring-catalogues.ts';
import { insertStreets } from '../store/streets.ts';
import { insertEvents, insertStructures, type NewStructure } from '../store/structures.ts';
import { changeOwnSupplies, findOwnSupplies } from '../store/supply/ring-supplies.ts';
import { insertSurface } from '../store/surfaces.ts';
import { applyStructureChanges } from '../store/tiles/changes.ts';
import { coversOfNight, demoCrew, demoSealant, demoVacuumTable } from './crew-night.ts';
import { toStructure } from './structure.ts';
import { demoSupplies } from './supplies.ts';
import { makeTown } from './town.ts';
import { demoSeed } from './write.ts';

const catalogueId = 'standard-rings';

/**
 * Lays the invented town into an empty database, all of it or nothing. null where there is an agency already:
 * what is there is never touched.
 */
export async function loadDemo({
  kysely,
}: Database): Promise<{ agencyId: string; projectId: string } | null> {
  return kysely.transaction().execute(async (db) => {
    await lockDemo(db);
    if ((await listAgencies(db)).length > 0) return null;
    const town = makeTown(demoSeed);
    const agencyId = slugOf(town.agency.name);
    const projectId = slugOf(town.project.name);
    const { crs, elevationUnit, treatment } = town.project;
    const projection = makeProjection(crsOf(crs));
    await insertAgency(db, {
      id: agencyId,
      name: town.agency.name,
      lengthDisplay: 'in',
      policy: { vacuumTableId: demoVacuumTable.id, ...demoSealant },
    });
    await insertRingCatalogue(db, agencyId, toShared(town.ringCatalogue));
    const yard = { agencyId, ringCatalogueId: catalogueId, projectId: null };
    await changeOwnSupplies(db, yard, await findOwnSupplies(db, yard), demoSupplies);
    const streets = town.streets.map(({ id, name, widthM, lonLat }) => ({ id, name, widthM, line: lonLat }));
    await insertStreets(db, agencyId, streets);
    await insertProject(db, agencyId, {
      id: projectId,
      name: town.project.name,
      crs,
      elevationUnit,
      displayUnit: 'in',
      treatment: {
        millDepthM: treatment.millDepth,
        millClearanceM: treatment.millClearance,
        maxRiserM: treatment.maxRiser,
      },
      ringCatalogueId: catalogueId,
    });
    const structures = town.structures.map((row): NewStructure => {
      const structure = toStructure(row, crs, projection.toLonLat);
      if ('message' in structure) throw new Error(`${row.id} of the demo town: ${structure.message}`);
      return structure;
    });
    await insertStructures(db, agencyId, structures, null);
    const created = structures.map(({ id }) => ({ structureId: id, kind: 'created' as const, detail: {} }));
    await insertEvents(db, agencyId, created);
    const ids = structures.map(({ id }) => id);
    await recordRims(db, agencyId, ids, { source: 'register' });
    const place = makeStreetPlacer(streets, projection);
    const inProject = new Set(town.projectCovers.map(({ id }) => id));
    const places = structures
      .filter(({ id }) => inProject.has(id))
      .map(({ id, street, eastingM, northingM }) =>
        place({ id, street, eastM: eastingM, northM: northingM }),
      );
    await upsertCovers(db, { agencyId, projectId }, places);
    await putVacuumTable(db, agencyId, demoVacuumTable);
    const night = new Date().toISOString().slice(0, 10);
    const [first] = town.projectCovers;
    const ofNight = town.projectCovers
      .filter(({ street }) => street === first.street)
      .slice(0, coversOfNight);
    const picked = pickIds(
      { agencyId, projectId },
      ofNight.map(({ id }) => id),
      'project',
    );
    await assign(db, { agencyId, projectId }, { picked, assigned: { crew: demoCrew, night }, joined: [] });
    const surfaceId = slugOf(town.surface.name);
    const surface = { name: town.surface.name, stage: town.surface.kind, method: 'level' };
    await insertSurface(db, { agencyId, projectId, surfaceId }, surface, town.shots);
    await applyStructureChanges(db, agencyId, ids);
    return { agencyId, projectId };
  });
}

function toShared({ rings, joint, maxChimney, ...rest }: RingCatalogue): SharedCatalogue {
  return {
    ...rest,
    id: catalogueId,
    name: 'Standard rings',
    rings: rings.map(({ id, thin, thick, outerDiameter, maxPerStack, cost, mass }) => ({
      id,
      thinM: thin,
      thickM: thick,
      outerDiameterM: outerDiameter,
      maxPerStack,
      cost,
      ...(mass != null && { massKg: mass }),
    })),
    maxChimneyM: maxChimney,
    joint: { baseM: joint.base, betweenM: joint.between, topM: joint.top },
  };
}
