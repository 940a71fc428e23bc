import type { CoverRow } from '#shared/cover.ts';

/** At least `from` and below `below`, metres; null is without end. */
export interface LengthRange {
  from: number | null;
  below: number | null;
}

/** Planned lengths that a list of covers can be held to. */
export const rangeFields = ['buildup', 'rim'] as const;
export type RangeField = (typeof rangeFields)[number];
export type Ranges = Partial<Record<RangeField, LengthRange>>;

/** What the server calls their ends. */
export const rangeNames = {
  buildup: { from: 'netBuildupFromM', below: 'netBuildupBelowM' },
  rim: { from: 'worstFromM', below: 'worstBelowM' },
} as const satisfies Record<RangeField, { from: string; below: string }>;

/** A nanometre: far below any edge of a bar, so that an address does not carry what floating numbers leave behind. */
const digits = 9;

/** `0.0127..0.0254`, metres; an end that is left out is open. */
export const writeRange = ({ from, below }: LengthRange): string =>
  [from, below].map((end) => (end === null ? '' : String(Number(end.toFixed(digits))))).join('..');

/** null for what is no range. */
export function readRange(text: string | null): LengthRange | null {
  const parts = (text ?? '').split('..');
  if (parts.length !== 2 || parts.every((part) => part === '')) return null;
  const [from, below] = parts.map((part) => (part === '' ? null : Number(part)));
  const isFine = [from, below].every((end) => end === null || Number.isFinite(end));
  return isFine ? { from, below } : null;
}

/** Ends by the server's names. */
export function rangeEnds(ranges: Ranges): Partial<Record<string, number>> {
  const ends: Partial<Record<string, number>> = {};
  for (const field of rangeFields) {
    const { from, below } = ranges[field] ?? { from: null, below: null };
    if (from !== null) ends[rangeNames[field].from] = from;
    if (below !== null) ends[rangeNames[field].below] = below;
  }
  return ends;
}

const slack = 1e-9;

/** As the server says it of a cover: what stays or is built anew has no stack that a rim error could be of. */
export function isInRanges(row: CoverRow, ranges: Ranges): boolean {
  const hasStack = row.status !== null && row.status !== 'leave' && row.status !== 'rebuild';
  const values = { buildup: row.netBuildupM, rim: hasStack ? row.worstM : null };
  return rangeFields.every((field) => {
    const range = ranges[field];
    const value = values[field];
    if (!range) return true;
    if (value === null) return false;
    const { from, below } = range;
    return (from === null || value + slack >= from) && (below === null || value + slack < below);
  });
}
