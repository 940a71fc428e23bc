import type { Problem } from '../problem.ts';
import { ProblemLog, shorten } from './problemLog.ts';

export interface Fault {
  code: string;
  message: string;
  row?: number | null;
  column?: string | null;
  value?: string | null;
}

/** A problem of these parts; long values are cut. */
export function fault({ code, message, row = null, column = null, value = null }: Fault): Problem {
  return { code, row, column, value: value === null ? null : shorten(value), message };
}

/** The log of one file's faults, given in parts. */
export class Faults extends ProblemLog {
  say(parts: Fault): void {
    this.add(fault(parts));
  }
}
