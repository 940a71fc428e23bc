import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../', import.meta.url));

interface Import {
  file: string;
  /** Path inside the repository, or the name of a package. */
  target: string;
  isType: boolean;
}

const files = ['core', 'shared', 'server', 'web', 'migrations'].flatMap((folder) =>
  readdirSync(path.join(root, folder), { recursive: true, encoding: 'utf8' })
    .map((name) => path.posix.join(folder, name.replaceAll(path.sep, '/')))
    .filter((name) => /\.tsx?$/.test(name) && !name.startsWith('web/dist/')),
);

const imports: Import[] = files.flatMap((file) => {
  const text = readFileSync(path.join(root, file), 'utf8');
  const found = text.matchAll(/^\s*(?:import|export)\s+(type\s)?(?:[^'"`;]*?\sfrom\s+)?['"]([^'"]+)['"]/gm);
  return [...found].map(([, isType, target]) => ({
    file,
    target: resolve(file, target),
    isType: isType !== undefined,
  }));
});

function resolve(file: string, target: string): string {
  if (target.startsWith('#')) return target.slice(1);
  return target.startsWith('.') ? path.posix.join(path.posix.dirname(file), target) : target;
}

/** What stands in the quotes of a file. */
function withoutCode(file: string): string {
  const text = readFileSync(path.join(root, file), 'utf8');
  return [...text.matchAll(/'[^'\n]*'|"[^"\n]*"|`[^`]*`/g)]
    .map(([quoted]) => quoted.replace(/\$\{[^}]*\}/g, ''))
    .join('\n');
}

const ours = /^(core|shared|server|web|migrations|tests)\//;
const folderOf = (name: string): string => name.split('/')[0];
const said = ({ file, target }: Import): string => `${file} -> ${target}`;

describe('the house', () => {
  it('is read as a whole', () => {
    expect(files.length).toBeGreaterThan(100);
    expect(imports.filter(({ target }) => ours.test(target)).length).toBeGreaterThan(200);
  });

  it.each([
    ['core', ['core']],
    ['shared', ['shared', 'core']],
    ['server', ['server', 'shared', 'core']],
    ['web', ['web', 'shared', 'core']],
    ['migrations', []],
  ])('%s takes nothing of ours but from %j', (folder, allowed: string[]) => {
    const wrong = imports.filter(
      ({ file, target }) =>
        folderOf(file) === folder && ours.test(target) && !allowed.includes(folderOf(target)),
    );
    expect(wrong.map(said)).toEqual([]);
  });

  it('shared takes only types of core', () => {
    const wrong = imports.filter(
      ({ file, target, isType }) => /^shared/.test(file) && /^core/.test(target) && !isType,
    );
    expect(wrong.map(said)).toEqual([]);
  });

  it('migrations know kysely and nothing else', () => {
    const wrong = imports.filter(({ file, target }) => /^migrations/.test(file) && target !== 'kysely');
    expect(wrong.map(said)).toEqual([]);
  });

  it('core reads no file, clock, network or chance', () => {
    const wrong = imports.filter(({ file, target }) => /^core/.test(file) && target.startsWith('node:'));
    expect(wrong.map(said)).toEqual([]);
    const calls = /\b(Math\.random|Date\.now|new Date\b|performance\.now|fetch\(|process\.)/;
    const callers = files.filter(
      (file) => /^core/.test(file) && calls.test(readFileSync(path.join(root, file), 'utf8')),
    );
    expect(callers).toEqual([]);
  });

  it('the store knows nothing of routes, jobs and requests', () => {
    const wrong = imports.filter(
      ({ file, target }) =>
        /^server\/store/.test(file) && /^(server\/(routes|jobs|plugins|imports)|fastify)/.test(target),
    );
    expect(wrong.map(said)).toEqual([]);
  });

  it('only the store writes SQL', () => {
    const statement = /\b(sql|transaction|tx)(<[^>]*>)?`|\.(selectFrom|insertInto|updateTable|deleteFrom)\(/;
    const writers = files.filter(
      (file) => /^(server|web)\//.test(file) && statement.test(readFileSync(path.join(root, file), 'utf8')),
    );
    expect(writers.length).toBeGreaterThan(5);
    expect(writers.filter((file) => !file.startsWith('server/store/'))).toEqual([]);
  });

  it('a number with its noun is written by core/units/count.ts, never with "(s)"', () => {
    const hedged = files.filter(
      (file) => /^(core|server|shared|web)\//.test(file) && /[a-z]\(s\)/.test(withoutCode(file)),
    );
    expect(hedged).toEqual([]);
  });

  it('whatever writes structures or covers of projects is gone through by a test that watches the tiles', () => {
    const statement =
      /\.(insertInto|updateTable|deleteFrom)\(\s*'(structures|project_covers)'|\b(insert into|update|delete from|merge into|copy)\s+(structures|project_covers)\b/;
    const read = (file: string) => readFileSync(path.join(root, file), 'utf8');
    const writers = files.filter((file) => file.startsWith('server/') && statement.test(read(file)));
    expect(writers.sort()).toEqual(Object.keys(watchedBy).sort());
    // helpers/watch-tiles.ts is laid over the database of these.
    for (const test of Object.values(watchedBy))
      expect([test, /createTestApp|planTwelveCovers|twelveCovers/.test(read(test))]).toEqual([test, true]);
  });
});

/** A file of the store that writes what the tiles show, and a test that does so through the API. */
const watchedBy: Readonly<Record<string, string>> = {
  'server/store/assignments.ts': 'tests/server/routes/find-and-assign.test.ts',
  'server/store/covers.ts': 'tests/server/routes/imports.test.ts',
  'server/store/field/covers.ts': 'tests/server/field/effects.test.ts',
  'server/store/plan/putInForce.ts': 'tests/server/routes/seat-unknown.test.ts',
  'server/store/project-rows.ts': 'tests/server/routes/project-deletion.test.ts',
  'server/store/staging/undoStructures.ts': 'tests/server/staging/imports.test.ts',
  'server/store/structures.ts': 'tests/server/routes/register.test.ts',
};
