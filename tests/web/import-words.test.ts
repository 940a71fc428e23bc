import { describe, expect, it } from 'vitest';
import type { ImportPreview, StagedImport } from '#shared/staged-import.ts';
import { doingWords } from '../../web/imports/doing.ts';
import { meaningsOf, meaningWords, needsUnit, sampleValue, valueWords } from '../../web/imports/meanings.ts';
import { saidWords, titleOf } from '../../web/imports/titles.ts';
import {
  countWords,
  elevationWords,
  figures,
  missingWords,
  positionWords,
  storeButton,
  storedWords,
} from '../../web/imports/words.ts';

const preview = (change: Partial<ImportPreview> = {}): ImportPreview => ({
  format: 'delimited',
  kind: 'shots',
  storable: true,
  storableWhy: null,
  name: 'night',
  counts: { read: 642, new: 604, changed: 2, same: 31, refused: 5 },
  bounds: {
    minEasting: 0,
    minNorthing: 0,
    maxEasting: 1,
    maxNorthing: 1,
    minElevation: 840,
    maxElevation: 844,
  },
  crs: { code: 'EPSG:2264', name: 'NAD83 / North Carolina (ftUS)', from: 'given', text: null },
  units: { horizontal: { unit: 'us-ft', from: 'crs' }, vertical: { unit: null, from: 'unknown' } },
  columns: [],
  codes: [],
  sample: [],
  parts: [],
  problems: [],
  problemCount: 0,
  questions: [],
  readings: [],
  remembered: null,
  warnings: [],
  ...change,
});

const staged = (change: Partial<StagedImport> = {}): StagedImport => ({
  id: 'x',
  state: 'ready',
  said: '',
  files: [{ number: 1, name: 'night.csv', sizeBytes: 40_000_000, receivedBytes: 12_000_000, sha256: null }],
  target: {},
  answers: {},
  preview: preview(),
  progress: { done: 0, total: 0 },
  surfaceIds: [],
  history: [],
  createdAt: '',
  updatedAt: '',
  keptUntil: null,
  ...change,
});

const question = (isOpen: boolean) => ({
  id: 'q',
  code: 'q',
  about: null,
  text: '',
  choices: [],
  likely: null,
  answer: null,
  isOpen,
});

describe('the foot bar', () => {
  it('says that nothing is stored in every state before storing has ended', () => {
    for (const state of ['uploading', 'uploaded', 'reading', 'ready', 'storing', 'failed'] as const)
      expect(storedWords(staged({ state }))).toBe('Nothing is stored yet.');
    expect(storedWords(staged({ state: 'stored' }))).toBe('Stored: 606 shots.');
    expect(storedWords(staged({ state: 'undone' }))).toMatch(/nothing of this file is stored/);
  });

  it('says what is missing', () => {
    expect(missingWords(staged({ state: 'uploading' }))).toBe('12 MB of 40 MB are with the server.');
    const sending = { sent: 30_000_000, total: 40_000_000 };
    expect(missingWords(staged({ state: 'uploading' }), sending)).toBe('30 MB of 40 MB are with the server.');
    const open = (...questions: boolean[]) =>
      staged({ preview: preview({ questions: questions.map(question) }) });
    expect(missingWords(open(true, false))).toBe(
      'One question left before you can store. Storing can be undone.',
    );
    expect(missingWords(open(true, true))).toMatch(/^Two questions left/);
    const nothing = preview({ counts: { read: 5, new: 0, changed: 0, same: 5, refused: 0 } });
    expect(missingWords(staged({ preview: nothing }))).toMatch(/storing would change nothing/);
    const unfit = preview({ storable: false, storableWhy: 'Grids cannot be stored.' });
    expect(missingWords(staged({ preview: unfit }))).toBe('Grids cannot be stored.');
  });

  it('names the number on the button and opens it only when all is answered', () => {
    expect(storeButton(staged())).toEqual({ words: 'Store 606 shots', isReady: true });
    expect(storeButton(staged({ preview: preview({ questions: [question(true)] }) })).isReady).toBe(false);
    expect(storeButton(staged({ state: 'reading' })).isReady).toBe(false);
    expect(storeButton(staged({ preview: preview({ storable: false }) })).isReady).toBe(false);
    expect(storeButton(staged({ preview: null }))).toEqual({ words: 'Store', isReady: false });
  });
});

describe('what was understood', () => {
  it('counts what it is', () => {
    expect(countWords('structures', 1)).toBe('1 casting');
    expect(countWords('design', 1204)).toBe('1,204 triangles');
    expect(figures(preview().counts, false).map(([number]) => number)).toEqual([604, 31, 2, 5]);
    expect(figures({ ...preview().counts, refused: 1 }, true).at(-1)).toEqual([1, 'is left out']);
  });

  it('says where a fact comes from, and that nothing settles it where nothing does', () => {
    expect(positionWords(preview())).toBe(
      'Positions in EPSG:2264, NAD83 / North Carolina (ftUS) (as you said), in US survey feet.',
    );
    expect(elevationWords(preview())).toBe('Elevations in a unit that nothing settles.');
    expect(positionWords(preview({ crs: null }))).toMatch(/^Nothing settles which grid/);
    expect(elevationWords(preview({ bounds: null }))).toBe('');
  });

  it('names columns by what they mean, and asks sizes alone for a unit', () => {
    const column = (meaning: string | null) => ({ name: 'fh', meaning, unit: null, from: 'heading' });
    expect(meaningWords('frame_height')).toBe('frame height');
    expect(needsUnit(column('frame_height'))).toBe(true);
    expect(needsUnit(column('rim_elevation'))).toBe(false);
    expect(needsUnit(column(null))).toBe(false);
    expect(meaningsOf('shots')).toContain('sigma');
    expect(meaningsOf('lines')).toEqual([]);
  });

  it('shows a value as it stands in the file, also of a column that is not read', () => {
    const column = { name: 'FH', meaning: 'frame_height', unit: null, from: 'heading' };
    expect(sampleValue({ frame_height: 0.65 }, column)).toBe(0.65);
    expect(sampleValue({ frame_height: 0.65, values: { FH: '0.65 ' } }, column)).toBe('0.65 ');
    expect([null, '', 0, false, { a: 1 }].map(valueWords)).toEqual(['·', '·', '0', 'no', '{"a":1}']);
  });
});

describe('questions and problems', () => {
  it('have a title that names the column, and none for a question that is not known', () => {
    expect(titleOf('columnUnit', 'FH')).toBe('Which unit is FH in?');
    expect(titleOf('somethingNew', null)).toBeNull();
  });

  it('keep an answer in words, a colon in a heading included', () => {
    expect(saidWords('columnUnit:depth: ft', 'us-ft')).toEqual({
      question: 'Which unit is depth: ft in?',
      answer: 'US survey feet',
    });
    expect(saidWords('crs', 'EPSG:2264').answer).toBe('EPSG:2264');
  });

  it('say what is done, and that an unknown fault of a row takes it out', () => {
    const doing = (code: string, column: string | null = 'elevation') => doingWords({ code, column });
    expect(doing('floatSolution')).toMatch(/^Kept/);
    expect(doing('sentinel')).toMatch(/^Left out/);
    expect(doing('notANumber')).toBe('Left out');
    expect(doing('noPlace')).toBe('Left out');
    expect(doing('noPlace', null)).toMatch(/^Kept where the register/);
  });
});
