/** A node of well-known text: `PRIMEM["Greenwich",0]`. */
export interface WktNode {
  /** In capitals. */
  keyword: string;
  values: (string | number)[];
  children: WktNode[];
}

/** No definition of a coordinate reference system comes near these. */
const mostCharacters = 100_000;
const mostDepth = 24;

const token =
  /\s*(?:"((?:[^"]|"")*)"|([A-Za-z_][A-Za-z0-9_]*)|([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)|([[\](),]))/y;

/** Reads well-known text of either version (OGC 01-009, ISO 19162); null where it is none. */
export function parseWkt(text: string): WktNode | null {
  if (text.length > mostCharacters) return null;
  const source = text
    .replace(/^\uFEFF/, '')
    .replaceAll('\0', '')
    .trimEnd();
  const open: WktNode[] = [];
  let last: WktNode | null = null;
  let root: WktNode | null = null;
  token.lastIndex = 0;
  while (token.lastIndex < source.length) {
    const match = token.exec(source);
    if (match === null || (root !== null && open.length === 0)) return null;
    const [, quoted, word, number, mark] = match;
    const parent = open.at(-1);
    if (word !== undefined) last = { keyword: word.toUpperCase(), values: [], children: [] };
    else if (mark === '[' || mark === '(') {
      if (last === null || open.length >= mostDepth) return null;
      parent?.children.push(last);
      open.push(last);
      last = null;
    } else {
      // A bare word is an enumeration such as EAST.
      if (last !== null) parent?.values.push(last.keyword);
      last = null;
      if (mark === ']' || mark === ')') root = open.pop() ?? null;
      else if (mark !== ',' && parent === undefined) return null;
      else if (quoted !== undefined) parent?.values.push(quoted.replaceAll('""', '"'));
      else if (number !== undefined) parent?.values.push(Number(number));
    }
    if (mark === ']' && root === null) return null;
  }
  return open.length === 0 ? root : null;
}

/** The first child with one of these keywords. */
export function childOf(node: WktNode, ...keywords: string[]): WktNode | null {
  return node.children.find(({ keyword }) => keywords.includes(keyword)) ?? null;
}

export function nameOf(node: WktNode | null): string {
  const [name] = node?.values ?? [];
  return typeof name === 'string' ? name : '';
}

export function numberOf(node: WktNode | null, at = 1): number | null {
  const value = node?.values[at];
  return typeof value === 'number' && Number.isFinite(value) ? value : null;
}
