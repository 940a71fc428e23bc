import { describe, expect, it } from 'vitest';
import { areaOf, type TileAddress } from '../../../server/store/tiles/area.ts';
import { keptBy } from '../../../server/tiles/blocks.ts';
import { bytesOf, readColumns } from '../../../server/tiles/columns.ts';
import { encodeCovers } from '../../../server/tiles/covers.ts';
import { seeded } from '../../helpers/corridor.ts';
import { breachesOf, decodePoints } from '../../helpers/vectorTile.ts';

interface Cover {
  number: number;
  x: number;
  y: number;
  tenths: string;
  status: string;
  id: string;
  kind: string;
  owner: string;
  street: string;
}

/** The tile of zoom 13 that all are cut from. */
const whole = { z: 13, x: 2260, y: 3220 };
const side = 2 ** 17;
const random = seeded(11);
const oneOf = <Item>(items: readonly Item[]): Item => items[Math.floor(random() * items.length)];

/** All over the tile and its buffer, many on the very edges of the tiles in it. */
const covers: Cover[] = Array.from({ length: 4000 }, (_, k) => {
  const place = () => {
    if (random() < 0.3)
      return Math.floor(32 * random()) * 2 ** 12 + oneOf([-1281, -1280, -1, 0, 1, 1279, 1280]);
    return Math.floor(-5120 + (side + 10_240) * random());
  };
  const kind = oneOf(['storm', 'valve', '']);
  return {
    number: 1 + ((k * 2741) % 4001),
    x: whole.x * side + place(),
    y: whole.y * side + place(),
    tenths: random() < 0.2 ? '' : `${Math.floor(-200 + 2000 * random())}`,
    status: oneOf(['raise', 'leave', '']),
    id: `${kind}-${k}`,
    kind,
    owner: oneOf(['Water works', 'Łódź works', '']),
    street: oneOf(['Quay Lane', 'Quay Row', 'Quay Lone', `Lane ${k % 50}`]),
  };
});

const columnsOf = (some: readonly Cover[]) =>
  readColumns(some.map((cover) => Object.values(cover).join('\u001f')).join('\u001e'));

function isIn({ x, y }: Cover, address: TileAddress): boolean {
  const { west, east, north, south } = areaOf(address);
  return x >= west && x <= east && y >= north && y <= south;
}

/** Tiles of a zoom in the whole: those of its corners, and some. */
function tilesIn(z: number): TileAddress[] {
  const some = 2 ** (z - 13);
  const at = (column: number, row: number) => ({ z, x: whole.x * some + column, y: whole.y * some + row });
  const middle = Math.floor(some / 2);
  return [at(0, 0), at(some - 1, 0), at(0, some - 1), at(some - 1, some - 1), at(middle, middle)];
}

describe('a tile that is cut from the columns of a whole one', () => {
  const columns = columnsOf(covers);

  it.each([13, 14, 15, 16, 17, 18])('has the same bytes at zoom %i as one of its own rows', (z) => {
    let most = 0;
    for (const address of tilesIn(z)) {
      const own = covers.filter((cover) => isIn(cover, address));
      const tile = encodeCovers(address, columns);
      expect(tile).toEqual(encodeCovers(address, columnsOf(own.toReversed())));
      expect(decodePoints(tile, 'covers', address)).toHaveLength(own.length);
      if (own.length > 0) expect(breachesOf(tile)).toEqual([]);
      most = Math.max(most, own.length);
    }
    expect(most).toBeGreaterThan(0);
  });

  it('has the same bytes under every filter as one of the rows that it leaves', () => {
    const none = { statuses: null, kind: null, owner: null, street: null, outside: null };
    const cases: [object, (cover: Cover) => boolean][] = [
      [{ statuses: ['raise', ''] }, ({ status }) => status !== 'leave'],
      [{ kind: 'storm' }, ({ kind }) => kind === 'storm'],
      [{ owner: 'Łódź works' }, ({ owner }) => owner === 'Łódź works'],
      [{ street: 'Quay Lane' }, ({ street }) => street === 'Quay Lane'],
      [{ street: 'Quay' }, () => false],
      [
        { statuses: ['leave'], kind: 'valve', street: 'Lane 7' },
        ({ status, kind, street }) => status === 'leave' && kind === 'valve' && street === 'Lane 7',
      ],
    ];
    for (const [filter, isLeft] of cases) {
      const own = covers.filter((cover) => isIn(cover, whole) && isLeft(cover));
      const tile = encodeCovers(whole, columns, keptBy({ ...none, ...filter }));
      expect(tile).toEqual(encodeCovers(whole, columnsOf(own)));
    }
  });

  it('shows a cover at the same place at every zoom, rounded down to the zoom’s own units', () => {
    const places = (address: TileAddress) =>
      new Map(
        decodePoints(encodeCovers(address, columns), 'covers', address).map(({ id, x, y }) => [
          id,
          [address.x * 4096 + x, address.y * 4096 + y],
        ]),
      );
    const coarse = places(whole);
    for (const z of [14, 16, 18]) {
      const shift = z - 13;
      for (const address of tilesIn(z)) {
        for (const [id, [x, y]] of places(address)) expect(coarse.get(id)).toEqual([x >> shift, y >> shift]);
      }
    }
    const exact = new Map(covers.map(({ number, x, y }) => [number, [x, y]]));
    for (const address of tilesIn(18)) {
      for (const [id, place] of places(address)) expect(place).toEqual(exact.get(id));
    }
  });
});

describe('columns', () => {
  it('tell texts apart that are alike but for one letter, wherever it stands', () => {
    const long = 'Quay Lane at the old north harbour by the bridge';
    const streets = [...long].map((_, k) => `${long.slice(0, k)}#${long.slice(k + 1)}`);
    const { texts, distinctTexts } = columnsOf(
      [...streets, ...streets].map((street, k) => ({ ...covers[0], number: k, id: `${k}`, street })),
    );
    expect([...texts].map((number) => distinctTexts[number].street)).toEqual([...streets, ...streets]);
    expect(distinctTexts).toHaveLength(streets.length);
  });

  it('of a city’s block take some forty bytes a cover', () => {
    const block = Array.from({ length: 8000 }, (_, k) => ({
      ...covers[k % 4000],
      number: 400_000 + k,
      id: `ST-${100_000 + k}`,
    }));
    expect(bytesOf(columnsOf(block)) / 8000).toBeLessThan(42);
  });

  it('number features beyond 2^32 in their order', () => {
    const numbers = [2 ** 40 + 1, 5, 2 ** 32, 2 ** 31 + 7];
    const tile = encodeCovers(
      whole,
      columnsOf(
        numbers.map((number) => ({
          ...covers[0],
          number,
          id: `${number}`,
          x: whole.x * side,
          y: whole.y * side,
        })),
      ),
    );
    const found = decodePoints(tile, 'covers', whole);
    expect(found.map(({ id }) => id)).toEqual(numbers.toSorted((a, b) => a - b));
    expect(found.map(({ properties }) => properties.id)).toEqual(found.map(({ id }) => `${id}`));
  });
});
