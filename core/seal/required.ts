import type { VacuumTable } from './types.ts';
import { isRequired, requiredTime, type VacuumNote, type VacuumSize } from './vacuum.ts';
import { sayVacuum } from './words.ts';

/** The least time that a table asks of a structure, in sentences what has to be said of how it was read. */
export interface Asked {
  /** Whole seconds, upward. null: the table has no answer; nothing can pass then. */
  seconds: number | null;
  doubts: string[];
}

/** The time that counts, seconds; null: the table has no answer. `isLongest`: of all that may be meant. */
export interface Counted {
  seconds: number | null;
  notes: VacuumNote[];
  isLongest: boolean;
}

/** Where a size that the rows differ by is not known, the longest time that may be meant counts as long as there is one. */
export function countedTime(table: VacuumTable, size: VacuumSize): Counted {
  const answer = requiredTime(table, size);
  if (isRequired(answer)) return { seconds: answer.seconds, notes: answer.doubts, isLongest: false };
  const { question, longest } = answer;
  const isLongest = longest !== null && question.code !== 'notASize';
  return { seconds: isLongest ? longest : null, notes: [question], isLongest };
}

/** What a timer runs to, and what has to be said of it. */
export function askedOf(table: VacuumTable, size: VacuumSize): Asked {
  const { seconds, notes, isLongest } = countedTime(table, size);
  const doubts = notes.map((note) => sayVacuum(note, table));
  return {
    seconds: seconds === null ? null : Math.ceil(seconds),
    doubts: isLongest ? doubts.map((words) => `${words} The longest time of all counts.`) : doubts,
  };
}
