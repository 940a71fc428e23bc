import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { TileCache } from '../../../server/tiles/cache.ts';
import { codingFor, namesTag } from '../../../server/tiles/negotiate.ts';

const tileOf = (letter: string, length = 5000) => Buffer.from(letter.repeat(length));

describe('the cache of tiles', () => {
  it('gives a tile in each form', async () => {
    const cache = new TileCache(1 << 20);
    cache.put('a', tileOf('a'));
    expect(await cache.get('a', 'identity')).toEqual(tileOf('a'));
    expect(gunzipSync((await cache.get('a', 'gzip'))!)).toEqual(tileOf('a'));
    expect(brotliDecompressSync((await cache.get('a', 'br'))!)).toEqual(tileOf('a'));
    expect(await cache.get('b', 'gzip')).toBeNull();
  });

  it('never holds more than it may, and lets go first of what nobody asked for longest', async () => {
    const cache = new TileCache(20_000);
    for (const letter of 'abc') cache.put(letter, tileOf(letter));
    await cache.get('a', 'identity');
    cache.put('d', tileOf('d'));
    expect(cache.bytes).toBeLessThanOrEqual(20_000);
    expect(['a', 'b', 'c', 'd'].filter((tag) => cache.has(tag))).toEqual(['c', 'a', 'd'].sort());
    for (let each = 0; each < 200; each++) {
      cache.put(`${each}`, tileOf('x', 100 + each * 20));
      await cache.get(`${each}`, 'gzip');
      expect(cache.bytes).toBeLessThanOrEqual(20_000);
    }
  });
});

describe('content coding (RFC 9110, 12.5.3)', () => {
  it.each([
    [undefined, 'identity'],
    ['gzip, deflate, br, zstd', 'gzip'],
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
