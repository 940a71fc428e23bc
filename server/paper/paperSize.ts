import type { Agency } from '#shared/agency.ts';

export const paperSizes = ['a4', 'letter'] as const;
export type PaperSize = (typeof paperSizes)[number];

/** Width and height in points (1/72 in). A4: ISO 216, 210 x 297 mm. Letter: ANSI Y14.1, 8 1/2 x 11 in. */
export const pointsOf: Readonly<Record<PaperSize, readonly [width: number, height: number]>> = {
  a4: [(210 / 25.4) * 72, (297 / 25.4) * 72],
  letter: [612, 792],
};

/** What is drawn on fits both papers with 12 mm to spare on every side. */
export const frame = { width: 527, height: 724 } as const;

/** An agency that reads inches has Letter in its printer, one that reads millimetres A4. */
export function usualPaper({ lengthDisplay }: Pick<Agency, 'lengthDisplay'>): PaperSize {
  return lengthDisplay === 'in' ? 'letter' : 'a4';
}
