import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

/** `display` and `figure`: headings, numbers, drawings. `strong` and `text`: sentences. */
export type Face = 'display' | 'figure' | 'strong' | 'text';

const overpass = (subset: string, weight: number) =>
  `@fontsource/overpass/files/overpass-${subset}-${weight}-normal.woff`;
const atkinson = (subset: string, weight: number) =>
  `@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-${subset}-${weight}-normal.woff`;

/** Files of each face; a letter that the first one lacks is taken from the next that has it. */
export const faceFiles: Readonly<Record<Face, readonly string[]>> = {
  display: [overpass('latin', 700), overpass('latin-ext', 700), overpass('cyrillic', 700)],
  figure: [overpass('latin', 400), overpass('latin-ext', 400), overpass('cyrillic', 400)],
  strong: [atkinson('latin', 700), atkinson('latin-ext', 700), overpass('cyrillic', 700)],
  text: [atkinson('latin', 400), atkinson('latin-ext', 400), overpass('cyrillic', 400)],
};

const read = new Map<string, Buffer>();
const { resolve } = createRequire(import.meta.url);

/** Bytes of a font file of ours; read once. */
export function fontBytes(file: string): Buffer {
  let bytes = read.get(file);
  if (!bytes) {
    bytes = readFileSync(resolve(file));
    read.set(file, bytes);
  }
  return bytes;
}
