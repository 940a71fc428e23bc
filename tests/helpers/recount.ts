import type { Database } from '../../server/store/database.ts';

interface Counted {
  covers: number;
  x: number;
  y: number;
}

/** Place in Web Mercator's square of 2^30 (EPSG:3857, the formula of EPSG Guidance Note 7-2, method 1024). */
export function placeOf(lon: number, lat: number): [x: number, y: number] {
  const side = 2 ** 30;
  const north = Math.log(Math.tan(Math.PI / 4 + (lat * Math.PI) / 360));
  return [Math.floor((lon / 360 + 0.5) * side), Math.floor((0.5 - north / (2 * Math.PI)) * side)];
}

/**
 * Counts anew what the tables of the tiles ought to hold, from the register and the projects alone, and what they do
 * hold: both as sorted lines, so that a difference can be read.
 */
export async function recount({ sql }: Database): Promise<{
  covers: { kept: string[]; counted: string[] };
  counts: { kept: string[]; counted: string[] };
}> {
  const rows = await sql<Row[]>`
    select s.agency_id, s.structure_id, s.feature_id, s.lon, s.lat, s.kind, s.owner, s.street, c.project_id,
      coalesce(c.field_status, c.status) as status,
      c.net_buildup_m as planned_buildup, p.created_at
    from structures s left join project_covers c using (agency_id, structure_id)
    left join projects p on p.agency_id = c.agency_id and p.project_id = c.project_id
    order by s.agency_id, s.structure_id, p.created_at desc, p.project_id desc`;
  const led = new Set<string>();
  const covers: string[] = [];
  const counts = new Map<string, Counted>();
  for (const row of rows) {
    const structure = `${row.agency_id}/${row.structure_id}`;
    const leads = !led.has(structure);
    led.add(structure);
    const [x, y] = placeOf(row.lon, row.lat);
    const project = row.project_id ?? '';
    const { kind, owner, street, status } = row;
    const netBuildup = row.planned_buildup;
    covers.push(
      JSON.stringify([
        structure,
        project,
        row.feature_id,
        leads,
        x,
        y,
        kind,
        owner,
        street,
        status,
        netBuildup,
      ]),
    );
    for (let zoom = 0; zoom <= 12; zoom++) {
      const [cellX, cellY] = [x, y].map((each) => Math.floor(each / 2 ** (27 - zoom)));
      const key = JSON.stringify([
        row.agency_id,
        zoom,
        cellX,
        cellY,
        project,
        leads,
        status ?? '',
        kind,
        owner ?? '',
      ]);
      const before = counts.get(key) ?? { covers: 0, x: 0, y: 0 };
      counts.set(key, { covers: before.covers + 1, x: before.x + x, y: before.y + y });
    }
  }
  const keptCovers = await sql<Record<string, never>[]>`select *, place & 1073741823 as x from tile_covers`;
  const keptCounts = await sql<Record<string, number>[]>`
    select * from tile_counts where (covers, sum_x, sum_y) is distinct from (0, 0, 0)`;
  return {
    covers: {
      counted: covers.sort(),
      kept: keptCovers
        .map((k) =>
          JSON.stringify([
            `${k.agency_id}/${k.structure_id}`,
            ...[
              k.project_id,
              k.feature_id,
              k.leads,
              k.x,
              k.y,
              k.kind,
              k.owner,
              k.street,
              k.status,
              k.net_buildup_m,
            ],
          ]),
        )
        .sort(),
    },
    counts: {
      counted: [...counts].map(([key, { covers: n, x, y }]) => `${key} ${n} ${x} ${y}`).sort(),
      kept: keptCounts.map((k) => `${keyOf(k)} ${k.covers} ${k.sum_x} ${k.sum_y}`).sort(),
    },
  };
}

interface Row {
  agency_id: string;
  structure_id: string;
  feature_id: number;
  lon: number;
  lat: number;
  kind: string;
  owner: string | null;
  street: string | null;
  project_id: string | null;
  status: string | null;
  planned_buildup: number | null;
}

/** A cell is tile row by row, times 64, plus the cell among 8 by 8. */
function keyOf({
  agency_id,
  zoom,
  cell,
  project_id,
  leads,
  status,
  kind,
  owner,
}: Record<string, number>): string {
  const tile = Math.floor(cell / 64);
  const [tileX, tileY] = [tile % 2 ** zoom, Math.floor(tile / 2 ** zoom)];
  const [cellX, cellY] = [tileX * 8 + (cell % 8), tileY * 8 + (Math.floor(cell / 8) % 8)];
  return JSON.stringify([agency_id, zoom, cellX, cellY, project_id, leads, status, kind, owner]);
}
