/** Cuts off the one row too many that was asked for; `last` is the row that the page ended at, if more follow. */
export function cutPage<Row>(rows: Row[], limit: number): { rows: Row[]; last: Row | null } {
  if (rows.length <= limit) return { rows, last: null };
  const kept = rows.slice(0, limit);
  return { rows: kept, last: kept[limit - 1] };
}

/** Pattern that finds text anywhere in a column, for LIKE with its default escape. */
export function containing(text: string): string {
  return `%${text.replace(/[\\%_]/g, '\\$&')}%`;
}

/** Pattern that finds text at the beginning of a column, for LIKE with its default escape. */
export const beginning = (text: string): string => containing(text).slice(1);

/** Rows of one statement: PostgreSQL takes 65,534 parameters, and a structure has 24 columns. */
export const rowsAtOnce = 1000;

export function* inChunks<Item>(items: readonly Item[], size = rowsAtOnce): Generator<Item[]> {
  for (let start = 0; start < items.length; start += size) yield items.slice(start, start + size);
}

/** Rows by the text in one of their fields, which they lose; in the order in which they came. */
export function groupBy<Row extends Record<Field, string>, Field extends string>(
  rows: readonly Row[],
  field: Field,
): Map<string, Omit<Row, Field>[]> {
  const groups = new Map<string, Omit<Row, Field>[]>();
  for (const { [field]: name, ...rest } of rows) {
    const group = groups.get(name);
    if (group) group.push(rest);
    else groups.set(name, [rest]);
  }
  return groups;
}
