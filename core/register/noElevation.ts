import { metresPer } from '../units/length.ts';

/** Whether text stands where a number is expected and says that nobody has one. */
export const saysNone = (text: string): boolean =>
  /^(n[/.]?\s?a\.?|null|none|nil|nan|unknown|unkn?\.?|tbd|tba|no ?data|not (measured|known|surveyed|available)|-{1,3}|–|—|\?{1,3}|\*+)$/i.test(
    text.trim(),
  );

/** What programs write for no number, beside 0. */
const marks = [-99, -999, -9999, -99999, -999999, -32768];
const units = [1, metresPer.ft, metresPer['us-ft']];

/** A rim stands no farther over its seat than this, metres. Common practice, no source. */
const farthestApart = 2;

/** Elevations of one structure, metres. */
export interface WrittenElevations {
  rim: number | null;
  seat: number | null;
}

/** What was written for an elevation, where that is 0 or one of the marks; null for any other. `metres`: as read. */
export function markOf(metres: number): number | null {
  if (metres === 0) return 0;
  return marks.find((mark) => units.some((unit) => Math.abs(metres / unit - mark) < 1e-6)) ?? null;
}

const isMark = (metres: number): boolean => markOf(metres) !== null;

/**
 * Which rims and seats of a register are none: 0 or a mark such as -9999, in metres or feet, that lies farther from the
 * other elevation of its row, or where that says nothing from what is usual in the register, than a rim from its seat. By
 * the sea 0 is an elevation like any other; where nothing else is known, it is none.
 */
export function noElevations(rows: readonly WrittenElevations[]): { rim: boolean; seat: boolean }[] {
  const told = rows.flatMap(({ rim, seat }) => [rim, seat]).filter((z) => z !== null && !isMark(z));
  const usual = told.length === 0 ? null : middleOf(told as number[]);
  const isNone = (value: number | null, other: number | null): boolean => {
    if (value === null || !isMark(value)) return false;
    const beside = other === null || isMark(other) ? usual : other;
    return beside === null || Math.abs(value - beside) > farthestApart;
  };
  return rows.map(({ rim, seat }) => ({ rim: isNone(rim, seat), seat: isNone(seat, rim) }));
}

function middleOf(values: number[]): number {
  values.sort((a, b) => a - b);
  return values[values.length >> 1];
}
