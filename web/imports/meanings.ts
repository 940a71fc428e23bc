import { structureMeanings } from '#core/intake/understand/meanings.ts';
import type { ImportPreview, ShotUse, StagedKind } from '#shared/staged-import.ts';

export type ImportColumn = ImportPreview['columns'][number];

const words: Readonly<Record<string, string>> = {
  point: 'point name',
  sigma: 'sigma (1σ)',
  fix: 'satellite solution',
  epoch: 'day of survey',
  lat: 'latitude',
  lon: 'longitude',
  id: 'id',
  condition_note: 'note',
};

/** `frame_height` -> `frame height`. */
export const meaningWords = (meaning: string): string => words[meaning] ?? meaning.replaceAll('_', ' ');

const ofShots = ['point', 'northing', 'easting', 'lat', 'lon', 'elevation', 'code', 'sigma', 'fix', 'epoch'];

/** What a column can be taken for. */
export const meaningsOf = (kind: StagedKind): readonly string[] =>
  kind === 'shots' ? ofShots : kind === 'structures' ? Object.keys(structureMeanings) : [];

/** A length of its own, with a unit of its own: elevations and positions share the file's. */
export const needsUnit = ({ meaning }: Pick<ImportColumn, 'meaning'>): boolean =>
  meaning !== null && (structureMeanings as Record<string, string>)[meaning] === 'size';

/** The column's value in one of the first records; undefined where the record does not show it. */
export function sampleValue(record: Readonly<Record<string, unknown>>, column: ImportColumn): unknown {
  const raw = record.values;
  if (raw !== null && typeof raw === 'object' && column.name in raw)
    return (raw as Record<string, unknown>)[column.name];
  return column.meaning === null ? undefined : record[column.meaning];
}

export function valueWords(value: unknown): string {
  if (value === null || value === undefined || value === '') return '·';
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  return typeof value === 'object' ? JSON.stringify(value) : String(value);
}

export const useWords: Readonly<Record<ShotUse, string>> = {
  surface: 'pavement',
  crown: 'crown line',
  edge: 'edge of pavement',
  gutter: 'gutter line',
  rim: 'rim of a casting',
  seat: 'seat of a casting',
  leaveOut: 'not stored',
};

export const codeFromWords: Readonly<Record<string, string>> = {
  given: 'as you said',
  remembered: 'remembered',
  usual: '',
  unknown: 'new',
};
