import { readCode } from '#core/survey/codes.ts';
import type { ImportCode, ShotUse } from '#shared/staged-import.ts';

/** Codes of other files, as they were last said. */
export type CodeMap = ReadonlyMap<string, ShotUse>;

interface Use extends ImportCode {}

/** Different descriptions kept; beyond it a description is worked out each time. */
const mostDescriptions = 20_000;
/** Codes listed in a preview, the most frequent first. */
const mostListed = 300;

/**
 * What each code is a shot on: as was said for this file, else as the agency said before, else as is usual. A code
 * that nobody knows is a shot on the surface, and is listed as unknown.
 */
export class Codes {
  readonly #given: Readonly<Record<string, ShotUse | null>>;
  readonly #remembered: CodeMap;
  readonly #byDescription = new Map<string, Use>();
  readonly #byCode = new Map<string, Use>();

  constructor(given: Readonly<Record<string, ShotUse | null>>, remembered: CodeMap) {
    this.#given = given;
    this.#remembered = remembered;
  }

  /** Counts the description's code; the answer is what it is a shot on. */
  use(description: string): ShotUse {
    let use = this.#byDescription.get(description);
    if (use === undefined) {
      use = this.#of(description);
      if (this.#byDescription.size < mostDescriptions) this.#byDescription.set(description, use);
    }
    use.count++;
    return use.role;
  }

  #of(description: string): Use {
    const { code, role, known } = readCode(description);
    const counted = this.#byCode.get(code);
    if (counted) return counted;
    const given = Object.hasOwn(this.#given, code) ? this.#given[code] : null;
    const remembered = this.#remembered.get(code);
    const use: Use = { code, count: 0, role: given ?? remembered ?? role, from: 'usual' };
    if (given) use.from = 'given';
    else if (remembered) use.from = 'remembered';
    else if (!known && code !== '') use.from = 'unknown';
    if (this.#byCode.size < mostDescriptions) this.#byCode.set(code, use);
    return use;
  }

  /** Most frequent first, then by name. */
  list(): ImportCode[] {
    const all = [...this.#byCode.values()].sort((a, b) => b.count - a.count || (a.code < b.code ? -1 : 1));
    return all.slice(0, mostListed);
  }
}
