import type { Coding } from './compress.ts';

/** Those that are offered, the one that is taken where several are wanted alike first. */
const offered: readonly Coding[] = ['zstd', 'gzip', 'br', 'identity'];

/** The content coding that an Accept-Encoding asks for (RFC 9110, section 12.5.3). */
export function codingFor(header: string | undefined): Coding {
  if (header === undefined) return 'identity';
  const weights = new Map<string, number>();
  for (const part of header.split(',')) {
    const [name, ...parameters] = part.split(';').map((text) => text.trim().toLowerCase());
    const quality = parameters.find((text) => text.startsWith('q='))?.slice(2);
    const weight = quality === undefined ? 1 : Number(quality);
    weights.set(name, Number.isNaN(weight) ? 0 : weight);
  }
  const others = weights.get('*') ?? 0;
  const weightOf = (coding: Coding) =>
    // Few but browsers know Zstandard: only who names it gets it.
    coding === 'zstd' && !weights.has(coding)
      ? 0
      : // What nobody speaks of is acceptable unless all others are refused, but only after what was asked for.
        (weights.get(coding) ?? (coding === 'identity' && !weights.has('*') ? 1e-6 : others));
  return offered.reduce((best, coding) => (weightOf(coding) > weightOf(best) ? coding : best));
}

/** Whether an If-None-Match names the tag (RFC 9110, section 13.1.2: the weak comparison). */
export function namesTag(header: string | undefined, tag: string): boolean {
  if (header === undefined) return false;
  if (header.trim() === '*') return true;
  return header.split(',').some((part) => part.trim().replace(/^W\//, '') === tag);
}
