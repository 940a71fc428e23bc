import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  groupFiles,
  matchFiles,
  mayRecover,
  nextPart,
  partBytes,
  sizeWords,
  waitBefore,
} from '../../web/imports/parts.ts';

describe('sending a file in parts', () => {
  it('sends every byte once, in order, in parts of the agreed size', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 12 * partBytes }), (size) => {
        let at = 0;
        for (let part = nextPart(at, size); part; part = nextPart(at, size)) {
          expect(part.start).toBe(at);
          expect(part.end - part.start).toBeLessThanOrEqual(partBytes);
          expect(part.end).toBeGreaterThan(part.start);
          at = part.end;
        }
        expect(at).toBe(size);
      }),
    );
  });

  it('goes on where the server says that the file ends', () => {
    expect(nextPart(10, 25)).toEqual({ start: 10, end: 25 });
    expect(nextPart(25, 25)).toBeNull();
  });

  it('waits longer after each loss, and never longer than twenty seconds', () => {
    expect([1, 2, 3].map(waitBefore)).toEqual([500, 1000, 2000]);
    expect(waitBefore(50)).toBe(20_000);
  });

  it('tries again when the server is away or busy, and not when it refuses', () => {
    expect([0, 429, 500, 503].every(mayRecover)).toBe(true);
    expect([400, 404, 413].some(mayRecover)).toBe(false);
  });
});

describe('files chosen together', () => {
  const named = (...names: string[]) => names.map((name) => ({ name }));
  const names = (groups: { name: string }[][]) => groups.map((group) => group.map(({ name }) => name));

  it('puts the loose parts of a shapefile together, whatever their case, and leaves other files alone', () => {
    const files = named('a.csv', 'Lines.SHP', 'lines.dbf', 'lines.prj', 'b.csv', 'lines.csv');
    expect(names(groupFiles(files))).toEqual([
      ['a.csv'],
      ['Lines.SHP', 'lines.dbf', 'lines.prj'],
      ['b.csv'],
      ['lines.csv'],
    ]);
  });

  it('keeps a table without shapes as a file of its own', () => {
    expect(names(groupFiles(named('register.dbf', 'other.shp')))).toEqual([['register.dbf'], ['other.shp']]);
  });

  it('takes the same files again in any order, and refuses one of another size', () => {
    const wanted = [
      { name: 'a.shp', sizeBytes: 3 },
      { name: 'a.dbf', sizeBytes: 4 },
    ];
    const [shp, dbf] = [
      { name: 'a.shp', size: 3 },
      { name: 'a.dbf', size: 4 },
    ];
    expect(matchFiles(wanted, [dbf, shp])).toEqual([shp, dbf]);
    expect(matchFiles(wanted, [shp, { name: 'a.dbf', size: 5 }])).toBeNull();
    expect(matchFiles(wanted, [shp])).toBeNull();
  });

  it('says sizes as file managers do', () => {
    expect([812, 14_200, 3_240_000, 312_000_000].map(sizeWords)).toEqual([
      '812 bytes',
      '14 kB',
      '3.2 MB',
      '312 MB',
    ]);
  });
});
