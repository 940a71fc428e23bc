import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, posix, relative, sep } from 'node:path';
import { describe, expect, it } from 'vitest';

const root = join(import.meta.dirname, '..');
const rooms = ['core', 'shared', 'server', 'web', 'migrations'] as const;

function sources(folder: string): string[] {
  return readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => relative(root, join(entry.parentPath, entry.name)).split(sep).join('/'))
    .filter((file) => !file.startsWith('web/dist/'));
}

interface Import {
  file: string;
  /** Path from the root for our own files, else the package's name. */
  target: string;
  typeOnly: boolean;
}

/** Static, dynamic and re-exporting imports of a file. */
function importsOf(file: string): Import[] {
  const text = readFileSync(join(root, file), 'utf8');
  const pattern = /(?:^|\n)\s*(import|export)\s+(type\s+)?[^'";]*?from\s+'([^']+)'|import\(\s*'([^']+)'\s*\)|import\s+'([^']+)'/g;
  return [...text.matchAll(pattern)].map((match) => {
    const specifier = match[3] ?? match[4] ?? match[5];
    const own = specifier.startsWith('.')
      ? posix.join(dirname(file), specifier)
      : specifier.startsWith('#')
        ? specifier.slice(1)
        : specifier;
    return { file, target: own, typeOnly: match[2] !== undefined };
  });
}

const roomOf = (target: string) => rooms.find((room) => target.startsWith(`${room}/`)) ?? null;

const allowed: Record<(typeof rooms)[number], readonly string[]> = {
  core: [],
  shared: ['core'],
  server: ['core', 'shared', 'migrations'],
  web: ['core', 'shared'],
  migrations: [],
};

describe('the house', () => {
  for (const room of rooms) {
    it(`${room} imports only what it may`, () => {
      const files = sources(room);
      expect(files.length).toBeGreaterThan(0);
      const foreign = files.flatMap(importsOf).filter(({ target }) => {
        const other = roomOf(target);
        return other !== null && other !== room && !allowed[room].includes(other);
      });
      expect(foreign).toEqual([]);
    });
  }

  it('core takes nothing from the machine: no node modules, no clock, no chance', () => {
    const machine = /\b(process\.|Date\.now|new Date\(\)|Math\.random|performance\.now|fetch\()/;
    const files = sources('core');
    expect(files.flatMap(importsOf).filter(({ target }) => target.startsWith('node:'))).toEqual([]);
    expect(files.filter((file) => machine.test(readFileSync(join(root, file), 'utf8')))).toEqual([]);
  });

  it('shared takes types of core only', () => {
    const values = sources('shared')
      .flatMap(importsOf)
      .filter(({ target, typeOnly }) => roomOf(target) === 'core' && !typeOnly);
    expect(values).toEqual([]);
  });

  it('migrations import kysely and nothing else', () => {
    const others = sources('migrations')
      .flatMap(importsOf)
      .filter(({ target }) => target !== 'kysely');
    expect(others).toEqual([]);
  });

  it('only the store speaks SQL', () => {
    const sql = /\bsql`|selectFrom\(|insertInto\(|updateTable\(|deleteFrom\(/;
    const speakers = sources('server').filter((file) => sql.test(readFileSync(join(root, file), 'utf8')));
    expect(speakers.length).toBeGreaterThan(0);
    expect(speakers.filter((file) => !file.startsWith('server/store/'))).toEqual([]);
  });

  it('no source file runs past 400 lines', () => {
    const long = [...rooms, 'tests']
      .flatMap(sources)
      .filter((file) => readFileSync(join(root, file), 'utf8').split('\n').length > 400);
    expect(long).toEqual([]);
  });
});
