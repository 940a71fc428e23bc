import type { ShotRole } from '../surface/types.ts';

/** How often a code stands in a file and what it was taken for. */
export interface CodeUse {
  /** The code without line numbers, in capitals; empty for shots without one. */
  code: string;
  count: number;
  role: ShotRole;
  /** false: not in the code list, so taken for a shot on the surface. */
  known: boolean;
}

const roles: Readonly<Record<string, ShotRole>> = {
  CL: 'crown',
  EP: 'edge',
  GU: 'gutter',
  FL: 'gutter',
  MH: 'rim',
  RIM: 'rim',
  SEAT: 'seat',
};

/**
 * What a description says of its shot. The code is its first word; line numbers after it (`CL1`, `EP-2`, `GU.3 LT`)
 * do not change it. Every other code, and none, is a shot on the surface.
 */
export function readCode(description: string): Omit<CodeUse, 'count'> {
  const word = description
    .trim()
    .split(/[\s,;/]/, 1)[0]
    .toUpperCase();
  const code = /^([A-Z]+)(?:\d+[A-Z]?|[-_.].*)?$/.exec(word)?.[1] ?? word;
  const known = Object.hasOwn(roles, code);
  return known ? { code, role: roles[code], known } : { code: word, role: 'surface', known };
}

/** Counts codes while a file is read, working each different description out once. */
export class CodeCounter {
  readonly #byDescription = new Map<string, CodeUse>();
  readonly #byCode = new Map<string, CodeUse>();

  count(description: string): ShotRole {
    let use = this.#byDescription.get(description);
    if (use === undefined) {
      const read = readCode(description);
      use = this.#byCode.get(read.code) ?? { ...read, count: 0 };
      this.#byCode.set(read.code, use);
      this.#byDescription.set(description, use);
    }
    use.count++;
    return use.role;
  }

  /** Most frequent first, then by name. */
  list(): CodeUse[] {
    return [...this.#byCode.values()].sort((a, b) => b.count - a.count || (a.code < b.code ? -1 : 1));
  }
}
