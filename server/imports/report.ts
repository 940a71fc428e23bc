import type { Problem } from '#core/problem.ts';
import { sayProblem } from '#core/problem.ts';
import type { ImportReport } from '#shared/import.ts';

/** Rows named in a report; a wrong file would name every one of its rows. */
const mostNamed = 1000;

export function namedRefusals(problems: readonly Problem[]): ImportReport['refused'] {
  return problems
    .slice(0, mostNamed)
    .map(({ row, column, value, code, message }) => ({ row, column, value, rule: code, message }));
}

export function namedWarnings(warnings: readonly Problem[]): string[] {
  const named = warnings.slice(0, mostNamed).map(sayProblem);
  return warnings.length > mostNamed ? [...named, `and ${warnings.length - mostNamed} more of these`] : named;
}

/** Rows that problems leave out: a row with two faults is one row; a fault of the whole file is none. */
export function countRows(problems: readonly Problem[]): number {
  return new Set(problems.flatMap(({ row }) => (row === null ? [] : [row]))).size;
}
