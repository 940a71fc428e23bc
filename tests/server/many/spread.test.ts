import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Database } from '../../../server/store/database.ts';
import { createDatabase } from '../../helpers/database.ts';

/**
 * What it takes to distribute tables by a column (Citus documentation, "Determining the Data Model" and "Unsupported
 * features": primary and unique keys must include it, foreign keys between distributed tables too, joins be on it).
 */
const store = fileURLToPath(new URL('../../../server/store/', import.meta.url));

/** Rows of a plan that is being made: laid down by COPY, dropped with it, never referred to. */
const withoutKey = ['plan_draft_covers'];

let database: Database;
let drop: () => Promise<void>;
let tables: string[];
beforeAll(async () => {
  ({ database, drop } = await createDatabase());
  const rows = await database.sql<{ name: string }[]>`
    select relname as name from pg_class
    where relnamespace = 'public'::regnamespace and relkind in ('r', 'p') and relname not like 'kysely%'
    order by relname`;
  tables = rows.map(({ name }) => name);
});
afterAll(() => drop());

describe('the tables, as the database has them', () => {
  it('are all of one agency', async () => {
    expect(tables.length).toBeGreaterThan(20);
    const rows = await database.sql<{ name: string }[]>`
      select table_name as name from information_schema.columns
      where table_schema = 'public' and column_name = 'agency_id' and is_nullable = 'NO' and data_type = 'text'`;
    expect(rows.map(({ name }) => name).sort()).toEqual(tables);
  });

  it('have primary keys that begin with the agency', async () => {
    const rows = await database.sql<{ name: string; first: string }[]>`
      select class.relname as name, attribute.attname as first
      from pg_constraint as key join pg_class as class on class.oid = key.conrelid
      join pg_attribute as attribute on attribute.attrelid = class.oid and attribute.attnum = key.conkey[1]
      where key.contype = 'p' and class.relname = any(${tables})`;
    expect(rows.filter(({ first }) => first !== 'agency_id')).toEqual([]);
    const keyed = rows.map(({ name }) => name);
    expect(tables.filter((name) => !keyed.includes(name))).toEqual(withoutKey);
  });

  it('have no unique index without the agency', async () => {
    const rows = await database.sql<{ name: string; carries: boolean }[]>`
      select index.indexrelid::regclass::text as name, exists (
        select from pg_attribute as attribute where attribute.attrelid = index.indrelid
          and attribute.attnum = any(index.indkey) and attribute.attname = 'agency_id') as carries
      from pg_index as index join pg_class as class on class.oid = index.indrelid
      where index.indisunique and class.relname = any(${tables})`;
    expect(rows.length).toBeGreaterThanOrEqual(tables.length - withoutKey.length);
    expect(rows.filter(({ carries }) => !carries)).toEqual([]);
  });

  it('refer only to rows of the same agency', async () => {
    const rows = await database.sql<{ name: string; pairs: string[] }[]>`
      select key.conrelid::regclass::text || '.' || key.conname as name, array(
        select here.attname || '=' || there.attname
        from unnest(key.conkey, key.confkey) as pair (here, there)
        join pg_attribute as here on here.attrelid = key.conrelid and here.attnum = pair.here
        join pg_attribute as there on there.attrelid = key.confrelid and there.attnum = pair.there) as pairs
      from pg_constraint as key where key.contype = 'f' and key.connamespace = 'public'::regnamespace`;
    expect(rows.length).toBeGreaterThan(15);
    expect(rows.filter(({ pairs }) => !pairs.includes('agency_id=agency_id'))).toEqual([]);
  });
});

interface Join {
  where: string;
  table: string;
  /** What the table is called in the statement. */
  name: string;
  /** From the join to the end of the statement. */
  rest: string;
}

const sources = readdirSync(store, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts'))
  .map((name) => ({ name, text: readFileSync(path.join(store, name), 'utf8') }));

/** Joins in SQL as text, and in the form of the query builder. */
function joinsOf({ name: file, text }: { name: string; text: string }): Join[] {
  const found: Join[] = [];
  const textual =
    /(?<!cross )\bjoin\s+(?!lateral)([a-z_]+)(?:\s+as\s+([a-z_]+)|\s+(?!on\b|using\b)([a-z_]+))?\s+(?:on|using)\b/g;
  for (const match of text.matchAll(textual)) {
    const rest = text.slice(match.index, text.indexOf('`', match.index));
    found.push({
      where: at(file, text, match.index),
      table: match[1],
      name: match[2] ?? match[3] ?? match[1],
      rest,
    });
  }
  for (const match of text.matchAll(/\.(?:inner|left|right|full)Join\(\s*'([a-z_]+)(?: as ([a-z_]+))?'/g)) {
    const rest = text.slice(match.index, text.indexOf('.select', match.index + 1));
    found.push({ where: at(file, text, match.index), table: match[1], name: match[2] ?? match[1], rest });
  }
  return found;
}

const at = (file: string, text: string, index: number) =>
  `${file}:${text.slice(0, index).split('\n').length}`;

/** Whether the joined table's agency is held, by the join's own condition or by the statement's. */
const carriesAgency = ({ name, rest }: Join): boolean =>
  new RegExp(`\\b${name}\\.agency_id\\b|using \\([^)]*\\bagency_id\\b`).test(rest);

describe('the statements of the store', () => {
  it('join tables only within an agency', () => {
    const joins = sources.flatMap(joinsOf).filter(({ table }) => tables.includes(table));
    expect(joins.length).toBeGreaterThan(12);
    expect(
      joins.filter((join) => !carriesAgency(join)).map(({ where, table }) => `${where} ${table}`),
    ).toEqual([]);
  });

  it('have no join that this does not see', () => {
    for (const source of sources) {
      const words = [
        ...source.text.matchAll(
          /(?<!cross )\bjoin\s+(?!lateral)[a-z_]+\b(?=[^;]*?\b(?:on|using)\b)|\.(?:inner|left|right|full)Join\(/g,
        ),
      ];
      expect([source.name, joinsOf(source).length]).toEqual([source.name, words.length]);
    }
  });

  it('would be told on where one joined across agencies', () => {
    const text = 'sql`select 1 from projects join shots as shot on shot.project_id = projects.project_id`';
    expect(joinsOf({ name: 'x.ts', text }).map(carriesAgency)).toEqual([false]);
  });
});
