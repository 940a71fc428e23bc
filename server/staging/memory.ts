import { createHash } from 'node:crypto';
import type { Kysely } from 'kysely';
import type { ImportAnswers, ShotUse } from '#shared/staged-import.ts';
import { remember, rememberCodes } from '../store/staging/memory.ts';
import type { Tables } from '../store/tables.ts';

/**
 * What files of one kind are told by: their headings, whatever the case of their letters. Null for a file without
 * headings: those of different crews look alike, so nothing said of one may be taken for another.
 */
export function fingerprintOf(headings: readonly string[]): string | null {
  if (headings.length === 0) return null;
  const plain = headings.map((heading) => heading.trim().toLowerCase()).join('\u001f');
  return createHash('sha256').update(plain).digest('hex');
}

/** Questions about columns; where a file lies and in which unit its positions are is asked of each file. */
const ofColumns = /^(idColumn|axisOrder|columnUnit:|whichElevation:|lineKind:)/;

/** What was said of columns, for the next file with these headings. */
function rememberable({ questions = {}, meanings, columnUnits }: ImportAnswers): ImportAnswers {
  const kept = Object.entries(questions).filter(([id]) => ofColumns.test(id));
  return { questions: Object.fromEntries(kept), meanings, columnUnits };
}

/** Keeps, when a file is stored, what was said of its columns and codes. */
export async function keepAnswers(
  db: Kysely<Tables>,
  agencyId: string,
  {
    fingerprint,
    fileName,
    answers,
  }: { fingerprint: string | null; fileName: string; answers: ImportAnswers },
): Promise<void> {
  if (fingerprint !== null) {
    await remember(db, agencyId, { fingerprint, fileName, answers: rememberable(answers) });
  }
  const codes = Object.entries(answers.codes ?? {}).filter(
    (entry): entry is [string, ShotUse] => entry[1] !== null,
  );
  if (codes.length > 0) await rememberCodes(db, agencyId, { codes: new Map(codes), fileName });
}

/** What was said of this file, and before that of one like it. */
export function withRemembered(answers: ImportAnswers, remembered: ImportAnswers | null): ImportAnswers {
  if (!remembered) return answers;
  return {
    ...answers,
    questions: { ...remembered.questions, ...answers.questions },
    meanings: { ...remembered.meanings, ...answers.meanings },
    columnUnits: { ...remembered.columnUnits, ...answers.columnUnits },
  };
}
