import type { Problem } from '../problem.ts';
import type { RegisterRow } from './types.ts';

/**
 * Sizes outside these are more often a wrong unit than a real frame (metres). Common practice, no source: frames of
 * 4-10 in, and rims from a 5 in valve box to a 48 in hatch, with room on both sides.
 */
const likely = {
  frameHeight: { least: 0.04, most: 0.6, column: 'frame_height', words: 'a frame of' },
  rimDiameter: { least: 0.08, most: 1.5, column: 'rim_diameter', words: 'a rim of' },
} as const;

/** What deserves a look in a row that was kept. */
export function doubts(row: RegisterRow): Problem[] {
  const found: Problem[] = [];
  const say = (code: string, column: string | null, value: string | null, message: string): void => {
    found.push({ code, row: row.row, column, value, message });
  };
  if (row.east === null) {
    const why = row.lonLat === null ? 'blank or 0,0' : 'longitude and latitude without a coordinate system';
    say('noPlace', null, null, `${row.id} has no place in the grid (${why}); it is kept and not drawn`);
  }
  if (looksMangled(row.id)) {
    say('mangledId', 'id', row.id, 'looks spreadsheet-mangled; it is kept as written');
  }
  for (const field of ['frameHeight', 'rimDiameter'] as const) {
    const size = row[field];
    const { least, most, column, words } = likely[field];
    if (size !== null && (size < least || size > most)) {
      const both = `${(size / 0.0254).toFixed(2)} in = ${(size * 1000).toFixed(0)} mm`;
      say('unlikelySize', column, null, `${words} ${both} is unlikely; check the unit in the heading`);
    }
  }
  return found;
}

/** Whether a spreadsheet turned an id into a date or a power of ten. `3-12` and `100E10` are ids like any other. */
export function looksMangled(id: string): boolean {
  return (
    /^\d{1,2}-(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)$/i.test(id) ||
    /^(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)-\d{2}$/i.test(id) ||
    /^\d(\.\d+)?E\+\d+$/i.test(id)
  );
}
