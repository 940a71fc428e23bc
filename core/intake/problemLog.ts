import type { Problem } from '../problem.ts';
import { counted } from '../units/count.ts';
import { mostProblems } from './types.ts';

/**
 * Gathers the faults of one opened file in its `problems` list: at most `mostProblems` are listed, the rest counted in
 * a last one of code `more`.
 */
export class ProblemLog {
  readonly list: Problem[] = [];
  #unlisted = 0;

  constructor() {
    logOf.set(this.list, this);
  }

  /** Hears of every problem from now on, those that are only counted too. */
  listener: ((problem: Problem) => void) | null = null;

  add(problem: Problem): void {
    this.listener?.(problem);
    if (this.list.length < mostProblems) {
      this.list.push(problem);
      return;
    }
    this.#unlisted++;
    const message = `${counted(this.#unlisted, 'more problem is', 'more problems are')} not listed`;
    this.list[mostProblems] = { code: 'more', row: null, column: null, value: null, message };
  }

  /** Of the file as a whole, without a row. */
  note(code: string, message: string, value: string | null = null): void {
    this.add({ code, row: null, column: null, value, message });
  }
}

const logOf = new WeakMap<readonly Problem[], ProblemLog>();

/**
 * Tells of every problem that reading a file meets from now on, however many there are. `problems` is the list of the
 * opened file. false where its reader keeps no log, so that the list is all there is.
 */
export function hearProblems(problems: readonly Problem[], listener: (problem: Problem) => void): boolean {
  const log = logOf.get(problems);
  if (log) log.listener = listener;
  return log !== undefined;
}

/**
 * A layer may be read several times, and each reading meets the same faults in the same order: only what an earlier
 * reading has not yet come to is listed.
 */
export class RepeatedReading {
  readonly #log: ProblemLog;
  #reported = 0;

  constructor(log: ProblemLog) {
    this.#log = log;
  }

  /** Begins a reading; the function takes its faults in order. */
  begin(): (problem: Problem) => void {
    let met = 0;
    return (problem) => {
      met++;
      if (met <= this.#reported) return;
      this.#reported = met;
      this.#log.add(problem);
    };
  }
}

/** A whole file refused. */
export function refuseFile(code: string, message: string, value: string | null = null): Problem {
  return { code, row: null, column: null, value, message };
}

/** Values are quoted in messages and reports: long ones are cut. */
export function shorten(text: string, most = 80): string {
  return text.length <= most ? text : `${text.slice(0, most - 1)}…`;
}
