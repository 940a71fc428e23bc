import { type RawBuilder, sql } from 'kysely';
import { mercatorCellOf } from './cell.ts';
import { beginning, containing } from './list.ts';

/** A polygon in degrees as GeoJSON has it: outer ring, then holes; each closed, [lon, lat]. */
export type LonLatPolygon = [lon: number, lat: number][][];

/** At least `from` and below `below`, metres; null is without end. */
export interface LengthRange {
  from: number | null;
  below: number | null;
}

/** What is asked of covers; all that is given has to be true. Blank: of no crew, of no night. */
export interface CoverConditions {
  /** `unplanned` for covers that have no status. */
  statuses?: readonly string[];
  q?: string;
  kind?: string;
  owner?: string;
  street?: string;
  /** Any of them. */
  streets?: readonly string[];
  /** Beginning of the id, whatever the case of its letters. */
  idBegins?: string;
  crew?: string;
  night?: string;
  conflict?: 'yes' | 'no';
  netBuildupM?: LengthRange;
  worstM?: LengthRange;
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
  if (asked.netBuildupM) all.push(inRange(sql`cover.net_buildup_m`, asked.netBuildupM));
  if (asked.worstM) all.push(hasStack, inRange(sql`cover.worst_m`, asked.worstM));
  return allOf([...all, ...onStructures(asked)]);
}

/** Where the casting stays or its chimney is built anew no stack is put together, so that a rim error says nothing. */
export const hasStack = sql<boolean>`cover.status not in ('leave', 'rebuild')`;

/** A length on an edge must not fall below it by the rounding of a height, metres. */
export const lengthSlack = 1e-9;

function inRange(column: RawBuilder<unknown>, { from, below }: LengthRange): RawBuilder<boolean> {
  const slack = sql.lit(lengthSlack);
  return allOf([
    sql`${column} is not null`,
    ...(from === null ? [] : [sql<boolean>`${column} + ${slack} >= ${from}::float8`]),
    ...(below === null ? [] : [sql<boolean>`${column} + ${slack} < ${below}::float8`]),
  ]);
}

/** Conditions on rows `structure` alone, as one. */
export function structureConditionsOf(
  asked: Pick<CoverConditions, 'q' | 'kind' | 'owner' | 'street' | 'area'>,
): RawBuilder<boolean> {
  return allOf(onStructures(asked));
}

function onStructures({
  q,
  kind,
  owner,
  street,
  streets,
  idBegins,
  area,
}: CoverConditions): RawBuilder<boolean>[] {
  const all: RawBuilder<boolean>[] = [];
  if (kind !== undefined) all.push(sql`structure.kind = ${kind}`);
  if (owner !== undefined) all.push(sql`structure.owner = ${owner}`);
  if (street !== undefined) all.push(sql`structure.street = ${street}`);
  if (streets) all.push(sql`structure.street = any(${streets as string[]}::text[])`);
  if (idBegins !== undefined)
    all.push(sql`lower(structure.structure_id) like ${beginning(idBegins.toLowerCase())}`);
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
