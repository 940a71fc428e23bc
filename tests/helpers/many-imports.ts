import type { Shot } from '#core/surface/types.ts';
import type { StagedImport } from '#shared/staged-import.ts';
import { insertAgency } from '../../server/store/agencies.ts';
import type { CoverPlace } from '../../server/store/covers.ts';
import type { Database } from '../../server/store/database.ts';
import { insertProject } from '../../server/store/projects.ts';
import { insertRingCatalogue } from '../../server/store/ring-catalogues.ts';
import type { NewStructure } from '../../server/store/structures.ts';
import { catalogue } from './app.ts';
import { call, until } from './servers.ts';

export const agencyId = 'mossvale';
export const agency = `/api/agencies/${agencyId}`;
export const projectIdOf = (index: number): string => `street-${String(index + 1).padStart(2, '0')}`;
export const pathOf = (index: number): string => `${agency}/projects/${projectIdOf(index)}`;

/** An agency with empty projects in UTM metres. */
export async function layProjects({ kysely }: Database, count: number): Promise<void> {
  await insertAgency(kysely, { id: agencyId, name: 'Mossvale', lengthDisplay: 'mm', policy: {} });
  await insertRingCatalogue(kysely, agencyId, catalogue);
  for (let index = 0; index < count; index++)
    await insertProject(kysely, agencyId, {
      id: projectIdOf(index),
      name: `Street ${index + 1}`,
      crs: 'EPSG:25832',
      elevationUnit: 'm',
      displayUnit: 'mm',
      ringCatalogueId: 'rings',
    });
}

/** Projects lie beside each other, and covers in rows of a hundred, 20 m apart. */
function placeOf(project: number, cover: number): { north: number; east: number } {
  return {
    north: 5_316_400 + 20 * Math.floor(cover / 100),
    east: 500_000 + 4000 * project + 20 * (cover % 100),
  };
}

/** Covers of one project, each with its seat 0.25 m and its rim 0.05 m below grade 100. */
export function registerOf(project: number, covers: number): string {
  const lines = [
    'id,kind,owner,street,northing,easting,rim_elevation,seat_elevation,frame_height_mm,rim_diameter_mm',
  ];
  for (let cover = 0; cover < covers; cover++) {
    const { north, east } = placeOf(project, cover);
    lines.push(`P${project}-${cover},sanitary,Sewer works,,${north},${east},99.95,99.75,150,600`);
  }
  return `${lines.join('\n')}\n`;
}

/** The same as the register keeps them. */
export function coversOf(
  project: number,
  covers: number,
  toLonLat: (east: number, north: number) => [number, number],
): { structure: NewStructure; place: CoverPlace }[] {
  return Array.from({ length: covers }, (_, cover) => {
    const { north, east } = placeOf(project, cover);
    const [lon, lat] = toLonLat(east, north);
    const id = `P${project}-${cover}`;
    const structure: NewStructure = {
      ...{ id, kind: 'sanitary', owner: 'Sewer works', street: null },
      ...{ lon, lat, crs: 'EPSG:25832', eastingM: east, northingM: north },
      ...{ rimElevationM: 99.95, seatElevationM: 99.75, seatGradientEast: 0, seatGradientNorth: 0 },
      ...{ frameHeightM: 0.15, rimDiameterM: 0.6, setDownM: 0, adjustment: 'rings' as const },
      ...{ roadBearingDeg: null, structureDepthM: null, structureDiameterM: null },
      condition: { located: null, chimneyUnsound: null, frameUnsound: null },
    };
    const place = { structureId: id, eastingM: east, northingM: north };
    return { structure, place: { ...place, stationM: null, offsetM: null, roadBearingDeg: null } };
  });
}

/** So many shots round each cover of registerOf, on a level surface at 100 m. */
export function shotsRound(project: number, covers: number, each = 8): Shot[] {
  const shots: Shot[] = [];
  for (let cover = 0; cover < covers; cover++) {
    const { north, east } = placeOf(project, cover);
    for (let shot = 0; shot < each; shot++) {
      const angle = (2 * Math.PI * shot) / each;
      shots.push({
        ...{ point: String(shots.length + 1), code: 'FG', role: 'surface', sigma: null },
        north: north + 2 * Math.cos(angle),
        east: east + 2 * Math.sin(angle),
        elevation: 100 + (shot % 2 === 0 ? 0.001 : -0.001),
      });
    }
  }
  return shots;
}

export function shotsOf(project: number, covers: number, each = 8): string {
  const lines = shotsRound(project, covers, each).map(
    ({ point, north, east, elevation, code }) =>
      `${point},${north.toFixed(3)},${east.toFixed(3)},${elevation.toFixed(3)},${code}`,
  );
  return `${lines.join('\n')}\n`;
}

const answers = {
  questions: {
    ...{ crs: 'project', horizontalUnit: 'm', axisOrder: 'asRead', verticalUnit: 'm', stage: 'finished' },
    ...{ whereItLies: 'right' },
  },
};

/** Announces, answers and sends a file; it is being read then. Gives the import's path. */
export async function sendImport(
  address: string,
  project: string,
  name: string,
  content: string,
): Promise<string> {
  const bytes = Buffer.from(content);
  const { id } = await call<StagedImport>(address, 'POST', `${project}/imports`, {
    files: [{ name, sizeBytes: bytes.length }],
    target: {},
  });
  const path = `${project}/imports/${id}`;
  await call(address, 'PATCH', path, answers);
  for (let at = 0; at < bytes.length; at += 4_000_000) {
    const answer = await fetch(`${address}${path}/files/1`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/partial-upload', 'upload-offset': String(at) },
      body: new Uint8Array(bytes.subarray(at, at + 4_000_000)),
    });
    if (!answer.ok) throw new Error(await answer.text());
  }
  return path;
}

/** Waits until an import is read and nothing is left to answer. */
export async function readImport(address: string, path: string): Promise<StagedImport> {
  const found = await until(
    () => call<StagedImport>(address, 'GET', path),
    ({ state }) => state === 'ready' || state === 'failed',
  );
  const open = found.preview?.questions.filter(({ isOpen }) => isOpen) ?? [];
  if (found.state !== 'ready' || open.length > 0)
    throw new Error(`${found.said} ${open.map(({ text }) => text).join(' ')}`);
  return found;
}
