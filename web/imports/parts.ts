/** Bytes sent in one request: small enough for a slow line to finish one before the server's patience ends. */
export const partBytes = 4 * 2 ** 20;

/** The part of a file that goes next; null when all of it is there. */
export function nextPart(receivedBytes: number, sizeBytes: number): { start: number; end: number } | null {
  if (receivedBytes >= sizeBytes) return null;
  return { start: receivedBytes, end: Math.min(sizeBytes, receivedBytes + partBytes) };
}

const longestWaitMs = 20_000;

/** How long to wait before the next try after so many lost in a row, at least one. */
export function waitBefore(lost: number): number {
  return Math.min(longestWaitMs, 500 * 2 ** (lost - 1));
}

/** Whether the same request may well succeed a little later: no answer, too many requests, or a server starting. */
export const mayRecover = (status: number) => status === 0 || status === 429 || status >= 500;

const shapefileParts = ['shp', 'shx', 'dbf', 'prj', 'cpg', 'qix', 'sbn', 'sbx'];

/**
 * Files that are read together: the loose parts of a shapefile share a name and differ in their endings. Every other
 * file stands alone. Order as given, a shapefile where its first part stood.
 */
export function groupFiles<Item extends { name: string }>(files: readonly Item[]): Item[][] {
  const shapefiles = new Set(
    files
      .map(({ name }) => partsOfName(name))
      .flatMap(({ stem, ending }) => (ending === 'shp' ? [stem] : [])),
  );
  const groups = new Map<string, Item[]>();
  for (const [at, file] of files.entries()) {
    const { stem, ending } = partsOfName(file.name);
    const belongs = shapefiles.has(stem) && shapefileParts.includes(ending);
    const name = belongs ? `shapefile ${stem}` : `file ${at}`;
    groups.set(name, [...(groups.get(name) ?? []), file]);
  }
  return [...groups.values()];
}

function partsOfName(name: string): { stem: string; ending: string } {
  const dot = name.lastIndexOf('.');
  return dot < 0
    ? { stem: name.toLowerCase(), ending: '' }
    : { stem: name.slice(0, dot).toLowerCase(), ending: name.slice(dot + 1).toLowerCase() };
}

/** Chosen files in the order that the server names them; null where one is missing or has another size. */
export function matchFiles<Item extends { name: string; size: number }>(
  wanted: readonly { name: string; sizeBytes: number }[],
  chosen: readonly Item[],
): Item[] | null {
  const found = wanted.map(({ name, sizeBytes }) =>
    chosen.find((file) => file.name === name && file.size === sizeBytes),
  );
  return found.every((file) => file !== undefined) ? (found as Item[]) : null;
}

/** `812 bytes`, `14 kB`, `3.2 MB`: decimal, as file managers show them. */
export function sizeWords(bytes: number): string {
  if (bytes < 1000) return `${bytes} bytes`;
  if (bytes < 1e6) return `${Math.round(bytes / 1000)} kB`;
  return `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`;
}
