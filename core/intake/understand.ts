import type { Problem } from '../problem.ts';
import { readColumnHeading } from './delimited/headings.ts';
import { refuseFile } from './problemLog.ts';
import type { Layer, OpenedFile } from './types.ts';
import { rimsWithin } from './understand/rimsWithin.ts';
import { understandShots } from './understand/shots.ts';
import { understandStructures } from './understand/structures.ts';
import { understandGrid, understandLines, understandTins } from './understand/surfaces.ts';
import type { CrsLookup, Kind, Said, Understanding } from './understanding.ts';

/**
 * What an opened file is understood as: the likeliest reading with everything that had to be assumed as a question.
 * Reads the file's records once; coordinates are never converted. A file that holds nothing is one Problem.
 */
export async function understand(
  file: OpenedFile,
  said: Said,
  lookup: CrsLookup,
): Promise<Understanding | Problem> {
  const asked = { said, lookup };
  const lineLayers = file.layers.filter(({ geometry }) => geometry === 'line' || geometry === 'polygon');
  const records = file.layers.filter((layer) => !lineLayers.includes(layer) && layer.count !== 0);
  const found = await firstPart(file, { records, lineLayers, asked });
  if (found === null)
    return (
      file.problems[0] ??
      refuseFile('nothing', 'the file holds no points, structures, surfaces, lines or grids')
    );
  const [first, ...others] = partsOf(file, found);
  if (others.length > 0) {
    const names = others.map(({ kind, name, count }) => `${count} ${kind} "${name}"`).slice(0, 10);
    found.problems.push(refuseFile('otherParts', `the file also holds ${names.join(', ')}`));
  }
  if (found.kind === 'structures' || found.kind === 'shots')
    found.problems.push(...(await rimsWithin(file, found, said)));
  return { ...found, parts: [first, ...others] };
}

interface Parts {
  records: Layer[];
  lineLayers: Layer[];
  asked: { said: Said; lookup: CrsLookup };
}

async function firstPart(
  file: OpenedFile,
  { records, lineLayers, asked }: Parts,
): Promise<Omit<Understanding, 'parts'> | null> {
  const tins = file.tins.filter(({ faces }) => faces.length > 0);
  if (tins.length > 0) return understandTins(file, tins, asked);
  if (file.grids.length > 0) return understandGrid(file, file.grids[0], asked);
  if (records.length > 0) {
    const understood = await understandStructures(file, records[0], asked);
    if (understood.count > 0) return understood;
  }
  for (const set of file.points) {
    const understood = await understandShots(file, set, asked);
    if (understood.count > 0) return understood;
  }
  if (file.lines.length > 0) return understandLines(file, file.lines, asked);
  return lineLayers.length > 0 ? understandLines(...(await linesOfLayer(file, lineLayers[0])), asked) : null;
}

/** A layer of lines or polygons as lines, named after its first text. */
async function linesOfLayer(file: OpenedFile, layer: Layer): Promise<[OpenedFile, OpenedFile['lines']]> {
  const lines: OpenedFile['lines'] = [];
  const nameAt = layer.columns.findIndex(({ name }) => readColumnHeading(name).meaning === 'point');
  for await (const batch of layer.features()) {
    for (const { geometry, values, row } of batch) {
      const name = String(values[nameAt] ?? `${layer.name} ${row}`);
      if (geometry?.type === 'line') lines.push({ name, role: 'line', positions: geometry.positions, row });
      if (geometry?.type === 'polygon') {
        for (const positions of geometry.rings) lines.push({ name, role: 'boundary', positions, row });
      }
    }
  }
  return [{ ...file, crs: layer.crs ?? file.crs, lines }, lines];
}

function partsOf(
  file: OpenedFile,
  first: { kind: Kind; name: string; count: number },
): Understanding['parts'] {
  const parts: Understanding['parts'] = [{ kind: first.kind, name: first.name, count: first.count }];
  const add = (kind: Kind, name: string, count: number): void => {
    if (kind !== first.kind || name !== first.name) parts.push({ kind, name, count });
  };
  if (first.kind !== 'design') for (const { name, faces } of file.tins) add('design', name, faces.length / 3);
  for (const { name, count } of file.points) if (count !== 0) add('shots', name, count ?? 0);
  for (const { name, count, geometry } of file.layers) {
    const isLines = geometry === 'line' || geometry === 'polygon';
    if (count !== 0) add(isLines ? 'lines' : 'structures', name, count ?? 0);
  }
  if (first.kind !== 'lines' && file.lines.length > 0) add('lines', file.lines[0].name, file.lines.length);
  for (const { name, columns, rows } of file.grids) add('grid', name, columns * rows);
  return parts;
}
