import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { RegisterRow } from '#core/register/types.ts';
import type { Shot } from '#core/surface/types.ts';
import { fromMetres } from '#core/units/length.ts';
import { ringCatalogueFile } from './catalogue.ts';
import { degreesText, feetText } from './rounding.ts';
import { makeTown, type Town } from './town.ts';

/** The seed of the town that a first start loads. */
export const demoSeed = 20260;

/** The project's part of the register as a CSV with units in its headings; positions in the system's feet. */
export function registerCsv(town: Town): string {
  const inProject = new Set(town.projectCovers.map(({ id }) => id));
  const heading =
    'id,kind,owner,street,northing,easting,rim_elevation,seat_elevation,frame_height_in,rim_diameter_in,' +
    'road_bearing_deg,adjustment,located,chimney_unsound,frame_unsound';
  return lines([heading, ...town.structures.filter(({ id }) => inProject.has(id)).map(registerLine)]);
}

function registerLine(row: RegisterRow): string {
  const flag = (value: boolean | null): string => (value === null ? '' : value ? 'yes' : 'no');
  const inches = (metres: number): string => String(Math.round(fromMetres(metres, 'in') * 1000) / 1000);
  return [
    row.id,
    row.kind,
    row.owner,
    row.street,
    feetText(row.north!),
    feetText(row.east!),
    feetText(row.rimElevation!),
    feetText(row.seatElevation!, 4),
    inches(row.frameHeight!),
    inches(row.rimDiameter!),
    degreesText(row.roadBearing!),
    row.adjustment,
    flag(row.condition.located),
    flag(row.condition.chimneyUnsound),
    flag(row.condition.frameUnsound),
  ].join(',');
}

/** The survey as a PNEZD file with a heading line, for the sake of its sigma column. */
export function shotsCsv(shots: readonly Shot[]): string {
  const heading = 'point,northing,easting,elevation,code,sigma_mm';
  return lines([
    heading,
    ...shots.map(({ point, north, east, elevation, code, sigma }) =>
      [
        point,
        feetText(north),
        feetText(east),
        feetText(elevation),
        code,
        sigma === null ? '' : sigma * 1000,
      ].join(','),
    ),
  ]);
}

function lines(rows: readonly string[]): string {
  return `${rows.join('\n')}\n`;
}

/** Writes structures.csv, shots.csv and rings.json of the demo's overlay into a folder. */
export function writeDemoFiles(folder: string, seed: number): string[] {
  const town = makeTown(seed);
  mkdirSync(folder, { recursive: true });
  const files = {
    'structures.csv': registerCsv(town),
    'shots.csv': shotsCsv(town.shots),
    'rings.json': `${JSON.stringify(ringCatalogueFile, null, 1)}\n`,
  };
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
  return Object.keys(files);
}

if (import.meta.main) {
  const [folder, seed = String(demoSeed)] = process.argv.slice(2);
  if (folder === undefined || !/^\d+$/.test(seed)) {
    console.error('usage: npm run -s demo-files -- DIR [SEED]');
    process.exit(2);
  }
  console.log(`${writeDemoFiles(folder, Number(seed)).join(', ')} written`);
}
