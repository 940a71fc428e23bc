import { unitWords } from './words.ts';

const titles: Readonly<Record<string, (about: string) => string>> = {
  whichFoot: () => 'Which foot are the positions in?',
  horizontalUnit: () => 'Which unit are the positions in?',
  verticalUnit: () => 'Which unit are the elevations in?',
  crs: () => 'Which grid are the positions in?',
  zone: () => 'Which zone is it?',
  axisOrder: () => 'Which is the northing, which the easting?',
  lonLatInGrid: () => 'Degrees, or positions in the grid?',
  columnUnit: (about) => `Which unit is ${about} in?`,
  idColumn: () => 'Which column names the castings?',
  whichElevation: (about) => `Of what is ${about} the elevation?`,
  decimalMark: () => 'What does the comma mean?',
  part: () => 'Which part of the file is it?',
  stage: () => 'Which surface is it?',
  sameSurface: () => 'Is it the same surface?',
  lineKind: (about) => `What are the lines of ${about}?`,
};

/** What a question asks, in a few words; null for one that only its own text can say. */
export const titleOf = (code: string, about: string | null): string | null =>
  titles[code]?.(about ?? '') ?? null;

const choices: Readonly<Record<string, string>> = {
  project: 'the project’s grid',
  degrees: 'longitude and latitude',
  asRead: 'as read',
  swapped: 'the two exchanged',
  ',': 'a decimal mark',
  '.': 'a mark between thousands',
  keep: 'yes',
  leaveOut: 'not stored',
};

/** An answer whose question the file no longer asks, with that question's words. */
export function saidWords(id: string, answer: string): { question: string; answer: string } {
  const colon = id.indexOf(':');
  const [code, about] = colon < 0 ? [id, null] : [id.slice(0, colon), id.slice(colon + 1)];
  return {
    question: titleOf(code, about) ?? id,
    answer: choices[answer] ?? unitWords[answer] ?? answer.replaceAll('_', ' '),
  };
}
