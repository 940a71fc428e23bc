import type { Kysely } from 'kysely';
import { makeBearings } from '#core/alignment/bearing.ts';
import type { ProjectCover } from './store/covers.ts';
import { keeper } from './store/kept.ts';
import { listLines } from './store/lines.ts';
import type { ProjectHead } from './store/projects.ts';
import type { Tables } from './store/tables.ts';

/** Road bearing of a cover's place from uploaded centre lines, degrees; null where none is near. */
export type CoverBearing = (
  cover: Pick<ProjectCover, 'eastingM' | 'northingM'> & { street: string | null },
) => number | null;

const kept = keeper<CoverBearing>();

/** The lines of a city are read once for each revision of the inputs, since every card asks for them. `project`: read before. */
export function loadBearings(
  db: Kysely<Tables>,
  { agencyId, id: projectId, createdAt, inputRevision, limits }: ProjectHead,
): Promise<CoverBearing> {
  const limitM = limits.centreLineLimitM.value;
  const asked = {
    name: JSON.stringify([agencyId, projectId]),
    token: `${createdAt} ${inputRevision} ${limitM}`,
  };
  return kept(db, asked, () => readBearings(db, { agencyId, projectId }, limitM));
}

async function readBearings(
  db: Kysely<Tables>,
  key: { agencyId: string; projectId: string },
  limitM: number,
): Promise<CoverBearing> {
  const lines = await listLines(db, key, ['centre']);
  const bearingAt = makeBearings(
    lines.map(({ street, name, positions }) => ({
      street: street ?? name,
      line: positions.map(([east, north]) => [east, north]),
    })),
    limitM,
  );
  return ({ eastingM: east, northingM: north, street }) => {
    const bearing = bearingAt({ east, north, street });
    return bearing === null ? null : (bearing * 180) / Math.PI;
  };
}

/** The bearing in force: the register's own, else of an uploaded centre line, else of the street's. */
export function bearingOf(
  { structure, eastingM, northingM, roadBearingDeg }: ProjectCover,
  bearings: CoverBearing,
): number | null {
  const { street } = structure;
  return structure.roadBearingDeg ?? bearings({ eastingM, northingM, street }) ?? roadBearingDeg;
}
