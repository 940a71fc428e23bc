import type { MappedColumn, StructureMeaning } from '#core/intake/understand/meanings.ts';
import type { StructureRecord } from '#core/intake/understand/records.ts';
import { markOf, noElevations } from '#core/register/noElevation.ts';
import { counted } from '#core/units/count.ts';
import type { StructureDraft } from './structures.ts';

/** Rims and seats of a register that are written as 0 or -9999, and words such as `n/a`: kept as unknown, and said. */
export class Unknowns {
  readonly #nameOf: ReadonlyMap<StructureMeaning | null, string>;
  /** Heading -> what stands there -> its rows. */
  readonly #found = new Map<string, Map<string, number[]>>();

  constructor(columns: readonly MappedColumn[]) {
    this.#nameOf = new Map(columns.map(({ meaning, name }) => [meaning, name]));
  }

  addWords({ row, none }: StructureRecord): void {
    for (const [meaning, word] of Object.entries(none)) this.#add(meaning as StructureMeaning, word!, row);
  }

  /** Takes out of the drafts the elevations that are none. */
  settle(drafts: readonly StructureDraft[]): void {
    const none = noElevations(drafts.map(({ rimElevationM: rim, seatElevationM: seat }) => ({ rim, seat })));
    drafts.forEach((draft, at) => {
      if (none[at].rim) {
        this.#add('rim_elevation', String(markOf(draft.rimElevationM!)), draft.row);
        draft.rimElevationM = null;
      }
      if (none[at].seat) {
        this.#add('seat_elevation', String(markOf(draft.seatElevationM!)), draft.row);
        draft.seatElevationM = null;
      }
    });
  }

  #add(meaning: StructureMeaning, text: string, row: number): void {
    const name = this.#nameOf.get(meaning) ?? meaning;
    const texts = this.#found.get(name) ?? new Map<string, number[]>();
    this.#found.set(name, texts);
    const rows = texts.get(text) ?? [];
    texts.set(text, rows);
    rows.push(row);
  }

  say(): string[] {
    return [...this.#found].map(([name, texts]) => {
      const each = [...texts].slice(0, mostTexts).map(([text, rows]) => `${text} ${sayRows(rows)}`);
      const more = texts.size > mostTexts ? ' and others' : '';
      return `${name}: ${each.join(', ')}${more} stands for no figure and is kept as not measured.`;
    });
  }
}

const mostTexts = 6;
const mostRows = 5;

/** `in 1 row (7)`, `in 12 rows (7, 9, 15, 16, 20 ...)`. */
function sayRows(rows: readonly number[]): string {
  const some = rows.slice(0, mostRows).join(', ');
  return `in ${counted(rows.length, 'row')} (${some}${rows.length > mostRows ? ' …' : ''})`;
}
