import { statusCodes } from '#shared/status.ts';
import type { TileQuery } from '#shared/tile.ts';
import { badField, HttpProblem } from '../../http-problem.ts';
import type { TileAddress } from '../../store/tiles/area.ts';
import { lastZoom } from '../../store/tiles/places.ts';
import type { TileFilter } from '../../store/tiles/read.ts';
import { unplanned } from '../../tiles/encode.ts';

/** Zooms beyond this are no place on any map. */
const deepest = 30;

/** Throws 400 for what is no tile of the grid, and 404 for one of a zoom that is not served. */
export function readAddress(given: { z: string; x: string; y: string }): TileAddress {
  const [z, x, y] = (['z', 'x', 'y'] as const).map((name) => {
    const text = given[name];
    if (!/^\d{1,10}$/.test(text)) throw badField(`/${name}`, 'must be a whole number of at least 0', text);
    return Number(text);
  });
  if (z > deepest) throw badField('/z', `must be at most ${deepest}`, z);
  for (const [name, number] of [
    ['x', x],
    ['y', y],
  ] as const) {
    if (number >= 2 ** z) throw badField(`/${name}`, `must be less than ${2 ** z} at zoom ${z}`, number);
  }
  if (z > lastZoom) throw new HttpProblem(404, `Tiles are served from zoom 0 to ${lastZoom}.`);
  return { z, x, y };
}

/** The texts in the query; throws 400 for a status that there is not. */
export function readFilter({ status, kind, owner, street, outside }: TileQuery): TileFilter {
  return {
    statuses: status === undefined ? null : readStatuses(status),
    kind: kind ?? null,
    owner: owner ?? null,
    street: street ?? null,
    outside: outside ?? null,
  };
}

function readStatuses(text: string): string[] {
  const known: readonly string[] = [...statusCodes, unplanned];
  const words = text.split(',');
  const unknown = words.find((word) => !known.includes(word));
  if (unknown !== undefined) throw badField('/status', `"${unknown}" is none of ${known.join(', ')}`, text);
  return words.map((word) => (word === unplanned ? '' : word));
}
