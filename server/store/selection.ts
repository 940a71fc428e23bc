import { type RawBuilder, sql } from 'kysely';
import { mercatorCellOf } from './cell.ts';
import { containing } from './list.ts';

/** A polygon in degrees as GeoJSON has it: outer ring, then holes; each closed, [lon, lat]. */
export type LonLatPolygon = [lon: number, lat: number][][];

/** What is asked of covers; all that is given has to be true. Blank: of no crew, of no night. */
export interface CoverConditions {
  /** `unplanned` for covers that have no status. */
  statuses?: readonly string[];
  q?: string;
  kind?: string;
  owner?: string;
  street?: string;
  crew?: string;
  night?: string;
  conflict?: 'yes' | 'no';
  area?: readonly LonLatPolygon[];
}

/** The status that is shown: the field's where there is one, else the plan's. */
export const shownStatus = sql<string>`coalesce(cover.field_status, cover.status, 'unplanned')`;

/** Conditions on rows `cover` and `structure` as one; true where nothing is asked. */
export function conditionsOf(asked: CoverConditions): RawBuilder<boolean> {
  const all: RawBuilder<boolean>[] = [];
  if (asked.statuses) all.push(sql`${shownStatus} in (${sql.join(asked.statuses)})`);
  if (asked.crew !== undefined)
    all.push(asked.crew === '' ? sql`cover.crew is null` : sql`cover.crew = ${asked.crew}`);
  if (asked.night !== undefined)
    all.push(asked.night === '' ? sql`cover.night is null` : sql`cover.night = ${asked.night}`);
  if (asked.conflict !== undefined)
    all.push(asked.conflict === 'yes' ? sql`cover.field_conflict` : sql`not cover.field_conflict`);
  return allOf([...all, ...onStructures(asked)]);
}

/** Conditions on rows `structure` alone, as one. */
export function structureConditionsOf(
  asked: Pick<CoverConditions, 'q' | 'kind' | 'owner' | 'street' | 'area'>,
): RawBuilder<boolean> {
  return allOf(onStructures(asked));
}

function onStructures({ q, kind, owner, street, area }: CoverConditions): RawBuilder<boolean>[] {
  const all: RawBuilder<boolean>[] = [];
  if (kind !== undefined) all.push(sql`structure.kind = ${kind}`);
  if (owner !== undefined) all.push(sql`structure.owner = ${owner}`);
  if (street !== undefined) all.push(sql`structure.street = ${street}`);
  if (q !== undefined) {
    const pattern = containing(q);
    all.push(sql`(structure.structure_id ilike ${pattern} or structure.street ilike ${pattern}
      or structure.owner ilike ${pattern})`);
  }
  if (area) all.push(insideArea(area));
  return all;
}

function allOf(all: RawBuilder<boolean>[]): RawBuilder<boolean> {
  return all.length === 0 ? sql`true` : sql`(${sql.join(all, sql` and `)})`;
}

/**
 * PostgreSQL's own polygons, which take places within a millionth of a unit of a side for places on it; a unit is a
 * hundred thousandth of a degree here, so that this is some micrometres.
 */
const unitsPerDegree = 100_000;

/** Structures in a drawn area, its edges with them. The band of cells that it lies in is looked through. */
export function insideArea(polygons: readonly LonLatPolygon[]): RawBuilder<boolean> {
  const units = sql.lit(unitsPerDegree);
  const holds = (ring: LonLatPolygon[number]): RawBuilder<boolean> =>
    sql`${textOf(ring)}::polygon @> point(structure.lon * ${units}, structure.lat * ${units})`;
  const each = polygons.map(([outer, ...holes]) => {
    const [west, east] = [Math.min(...outer.map(([lon]) => lon)), Math.max(...outer.map(([lon]) => lon))];
    const [south, north] = [
      Math.min(...outer.map(([, lat]) => lat)),
      Math.max(...outer.map(([, lat]) => lat)),
    ];
    const near = sql<boolean>`structure.cell between ${mercatorCellOf(west, south)} and ${mercatorCellOf(east, north)}
      and structure.lon between ${west} and ${east} and structure.lat between ${south} and ${north}`;
    const without = holes.map((hole) => sql<boolean>`not ${holds(hole)}`);
    return sql<boolean>`(${sql.join([near, holds(outer), ...without], sql` and `)})`;
  });
  return sql`(${sql.join(each, sql` or `)})`;
}

function textOf(ring: LonLatPolygon[number]): string {
  const corners = ring.slice(0, -1);
  return `(${corners.map(([lon, lat]) => `(${lon * unitsPerDegree},${lat * unitsPerDegree})`).join(',')})`;
}
