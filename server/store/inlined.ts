import type { Kysely, RawBuilder } from 'kysely';
import type { Tables } from './tables.ts';
import { literal } from './transaction.ts';

/** A query with its parameters written out, for COPY, which takes none. */
export function inlined(db: Kysely<Tables>, query: RawBuilder<unknown>): string {
  const compiled = query.compile(db);
  return compiled.sql.replace(/\$(\d+)/g, (_, number) => asLiteral(compiled.parameters[Number(number) - 1]));
}

function asLiteral(value: unknown): string {
  if (typeof value === 'number') return String(value);
  if (typeof value === 'string') return literal(value);
  if (Array.isArray(value)) return `array[${value.map((each) => literal(String(each))).join(',')}]`;
  throw new TypeError(`No literal for ${JSON.stringify(value)}`);
}
