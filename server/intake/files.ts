import { readdir } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { extensionOf, stemOf } from '#core/intake/stem.ts';
import type { ByteSource } from '#core/intake/types.ts';
import { fileSource } from './workplace.ts';

const shapefileParts = ['shp', 'shx', 'dbf', 'prj', 'cpg'];

/** A loose shapefile is several files of one name, in capitals or not; any other file stands alone. */
export async function sourcesOf(path: string): Promise<ByteSource[]> {
  const name = basename(path);
  if (!shapefileParts.includes(extensionOf(name))) return [await fileSource(path)];
  const stem = stemOf(name).toLowerCase();
  const beside = (await readdir(dirname(path))).filter(
    (other) =>
      other !== name && stemOf(other).toLowerCase() === stem && shapefileParts.includes(extensionOf(other)),
  );
  const paths = [path, ...beside.map((other) => join(dirname(path), other))];
  return Promise.all(paths.map((one) => fileSource(one)));
}
