import { brotliDecompressSync, gunzipSync, zstdDecompressSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { TileCache } from '../../../server/tiles/cache.ts';
import { codingFor, namesTag } from '../../../server/tiles/negotiate.ts';

const tileOf = (letter: string, length = 5000) => Buffer.from(letter.repeat(length));

describe('the cache of tiles', () => {
  it('gives a tile in each form', async () => {
    const cache = new TileCache(1 << 20);
    cache.put('a', '1', tileOf('a'));
    expect(await cache.get('a', '1', 'identity')).toEqual(tileOf('a'));
    expect(gunzipSync((await cache.get('a', '1', 'gzip'))!)).toEqual(tileOf('a'));
    expect(brotliDecompressSync((await cache.get('a', '1', 'br'))!)).toEqual(tileOf('a'));
    expect(zstdDecompressSync((await cache.get('a', '1', 'zstd'))!)).toEqual(tileOf('a'));
    expect(await cache.get('b', '1', 'gzip')).toBeNull();
  });

  it.each(['gzip', 'br', 'zstd'] as const)(
    'gives a large tile back whole that is held as %s alone',
    async (coding) => {
      const cache = new TileCache(1 << 22);
      const tile = Buffer.concat(Array.from({ length: 30_000 }, (_, k) => Buffer.from(`cover ${k} `)));
      cache.put('a', '1', tile);
      expect((await cache.get('a', '1', coding))!.length).toBeLessThan(tile.length / 3);
      expect(await cache.get('a', '1', 'identity')).toEqual(tile);
    },
  );

  it('holds what is compressed in place of what is plain, and makes a form once for all who wait', async () => {
    const cache = new TileCache(1 << 20);
    cache.put('a', '1', tileOf('a'));
    const plain = cache.bytes;
    const [one, other] = await Promise.all([cache.get('a', '1', 'gzip'), cache.get('a', '1', 'gzip')]);
    expect(one).toBe(other);
    expect(cache.bytes).toBe(plain - 5000 + one!.length);
    expect(await cache.get('a', '1', 'identity')).toEqual(tileOf('a'));
    expect(brotliDecompressSync((await cache.get('a', '1', 'br'))!)).toEqual(tileOf('a'));
    cache.put('empty', '1', new Uint8Array(0));
    expect(await cache.get('empty', '1', 'gzip')).toHaveLength(0);
    cache.put('large', '1', Buffer.from(crypto.getRandomValues(new Uint8Array(1 << 16))));
    expect((await cache.get('large', '1', 'gzip'))!.length).toBeGreaterThan(1 << 16);
  });

  it('gives no tile of another revision, and keeps one of each name', async () => {
    const cache = new TileCache(1 << 20);
    cache.put('a', '1', tileOf('a'));
    const before = cache.bytes;
    cache.put('a', '2', tileOf('b'));
    expect(await cache.get('a', '1', 'identity')).toBeNull();
    expect(await cache.get('a', '2', 'identity')).toEqual(tileOf('b'));
    expect(cache.bytes).toBe(before);
  });

  it('never holds more than it may, and lets go first of what nobody asked for longest', async () => {
    const cache = new TileCache(20_000);
    for (const letter of 'abc') cache.put(letter, '1', tileOf(letter));
    await cache.get('a', '1', 'identity');
    cache.put('d', '1', tileOf('d'));
    expect(cache.bytes).toBeLessThanOrEqual(20_000);
    expect(['a', 'b', 'c', 'd'].filter((tag) => cache.has(tag))).toEqual(['c', 'a', 'd'].sort());
    for (let each = 0; each < 200; each++) {
      cache.put(`${each % 30}`, `${each}`, tileOf('x', 100 + each * 20));
      await cache.get(`${each % 30}`, `${each}`, 'gzip');
      expect(cache.bytes).toBeLessThanOrEqual(20_000);
    }
  });
});

describe('content coding (RFC 9110, 12.5.3)', () => {
  it.each([
    [undefined, 'identity'],
    ['gzip, deflate, br, zstd', 'zstd'],
    ['gzip, deflate, br', 'gzip'],
    ['gzip, zstd;q=0.5', 'gzip'],
    ['zstd;q=0, *', 'gzip'],
    ['br', 'br'],
    ['gzip;q=0.5, br;q=0.9', 'br'],
    ['gzip;q=0, br;q=0', 'identity'],
    ['deflate', 'identity'],
    ['*', 'gzip'],
    ['*;q=0.1, identity', 'identity'],
    ['GZIP', 'gzip'],
  ])('%s takes %s', (header, coding) => expect(codingFor(header)).toBe(coding));
});

describe('If-None-Match (RFC 9110, 13.1.2)', () => {
  it.each([
    [undefined, false],
    ['"a"', true],
    ['"b", "a"', true],
    ['W/"a"', true],
    ['*', true],
    ['"ab"', false],
    ['a', false],
  ])('%s against "a": %s', (header, isNamed) => expect(namesTag(header, '"a"')).toBe(isNamed));
});
