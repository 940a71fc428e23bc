import type { VacuumTable } from './types.ts';
import { isRequired, requiredTime, type VacuumSize } from './vacuum.ts';
import { sayVacuum } from './words.ts';

/** The least time that a table asks of a structure, in sentences what has to be said of how it was read. */
export interface Asked {
  /** Whole seconds, upward. null: the table has no answer; nothing can pass then. */
  seconds: number | null;
  doubts: string[];
}

/**
 * The time that a timer runs to. Where a size that the rows differ by is not known, the longest time that may be meant
 * counts as long as there is one, and the doubt is said.
 */
export function askedOf(table: VacuumTable, size: VacuumSize): Asked {
  const answer = requiredTime(table, size);
  if (isRequired(answer))
    return {
      seconds: Math.ceil(answer.seconds),
      doubts: answer.doubts.map((note) => sayVacuum(note, table)),
    };
  const { question, longest } = answer;
  const words = sayVacuum(question, table);
  if (longest === null || question.code === 'notASize') return { seconds: null, doubts: [words] };
  return { seconds: Math.ceil(longest), doubts: [`${words} The longest time of all counts.`] };
}
