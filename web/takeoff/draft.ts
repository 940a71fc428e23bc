import type { RingSupplies, RingSuppliesPatch, RingSupply } from '#shared/ring-supply.ts';

export const supplyFields = ['pack', 'spareShare', 'spareAtLeast', 'onHand'] as const;
export type SupplyField = (typeof supplyFields)[number];
export type Whose = 'project' | 'agency';

/** Packs, spares and stock as they stand in fields; blank: not said here. */
export interface SupplyDraft {
  whose: Whose;
  /** Spares of all rings that have none of their own, in percent. */
  spareShare: string;
  rings: ({ ring: string } & Record<SupplyField, string>)[];
}

/** `/spareShare` or `/rings/2/pack`, as the server names them, with what is wrong there. */
export type DraftFaults = Record<string, string>;

export const percentText = (share: number): string => String(Number((share * 100).toFixed(4)));

/** Only what its owner said himself is in the fields. */
export function draftOf({ spareShare, rings }: RingSupplies, whose: Whose): SupplyDraft {
  const own = (figure: { value: number | null; from: string }, write: (value: number) => string = String) =>
    figure.from === whose && figure.value !== null ? write(figure.value) : '';
  return {
    whose,
    spareShare: own(spareShare, percentText),
    rings: rings.map(({ ring, ...supply }) => ({
      ring,
      pack: own(supply.pack),
      // A share that its owner said of all rings is in their own field.
      spareShare: isOfAll(supply, spareShare) ? '' : own(supply.spareShare, percentText),
      spareAtLeast: own(supply.spareAtLeast),
      onHand: own(supply.onHand),
    })),
  };
}

const isOfAll = (
  { spareShare }: Pick<RingSupply, 'spareShare'>,
  ofAll: RingSupplies['spareShare'],
): boolean => spareShare.from === ofAll.from && spareShare.value === ofAll.value;

/** What is in force where a field is blank: shown in it, faintly. */
export function inForceText(supply: RingSupply, field: SupplyField): string {
  const { value } = supply[field];
  if (value === null) return 'not counted';
  return field === 'spareShare' ? percentText(value) : String(value);
}

/** What was typed into a draft since it was read as `base`, or what is wrong with which field. */
export function readDraft(
  draft: SupplyDraft,
  base: SupplyDraft,
): { patch: RingSuppliesPatch } | { faults: DraftFaults } {
  const faults: DraftFaults = {};
  const patch: RingSuppliesPatch = {};
  const keep = (path: string, found: Read, put: (value: number | null) => void) => {
    if (found === null || typeof found === 'number') put(found);
    else faults[path] = found.fault;
  };
  if (draft.spareShare !== base.spareShare)
    keep('/spareShare', readPercent(draft.spareShare), (value) => {
      patch.spareShare = value;
    });
  const rings: NonNullable<RingSuppliesPatch['rings']> = [];
  for (const [at, ring] of draft.rings.entries()) {
    const changed = supplyFields.filter((field) => ring[field] !== base.rings[at][field]);
    if (changed.length === 0) continue;
    const own: (typeof rings)[number] = { ring: ring.ring };
    for (const field of changed)
      keep(`/rings/${at}/${field}`, readField(field, ring[field]), (value) => {
        own[field] = value;
      });
    rings.push(own);
  }
  if (rings.length > 0) patch.rings = rings;
  return Object.keys(faults).length > 0 ? { faults } : { patch };
}

/** What was typed since `base`, on top of what somebody else has stored meanwhile. */
export function onTopOf(fresh: SupplyDraft, draft: SupplyDraft, base: SupplyDraft): SupplyDraft {
  const own = (text: string, before: string, now: string) => (text === before ? now : text);
  return {
    whose: fresh.whose,
    spareShare: own(draft.spareShare, base.spareShare, fresh.spareShare),
    rings: fresh.rings.map((ring, at) => {
      const fields = supplyFields.map((field) => [
        field,
        own(draft.rings[at][field], base.rings[at][field], ring[field]),
      ]);
      return { ring: ring.ring, ...Object.fromEntries(fields) };
    }),
  };
}

type Read = number | null | { fault: string };

function readField(field: SupplyField, text: string): Read {
  if (field === 'spareShare') return readPercent(text);
  return field === 'pack' ? readCount(text, { least: 1, most: 10_000 }) : readCount(text);
}

/** null for a blank field. */
function readCount(text: string, { least = 0, most = 1_000_000 } = {}): Read {
  const plain = text.trim();
  if (plain === '') return null;
  if (!/^\d{1,9}$/.test(plain)) return { fault: `"${plain}" is no whole number of rings.` };
  const count = Number(plain);
  if (count < least) return { fault: `A pack holds at least ${least} ring.` };
  if (count > most) return { fault: `At most ${most.toLocaleString('en')} rings.` };
  return count;
}

function readPercent(text: string): Read {
  const plain = text.replace('%', '').trim();
  if (plain === '') return text.trim() === '' ? null : { fault: `"${text.trim()}" is no percentage.` };
  if (!/^\d{1,3}(\.\d+)?$/.test(plain)) return { fault: `"${text.trim()}" is no percentage.` };
  const percent = Number(plain);
  if (percent > 100) return { fault: 'Spares are 0 to 100 % of what is needed.' };
  return Number((percent / 100).toFixed(8));
}

/** What the server said of fields, by field; the rest as one text. */
export function faultsOf(fields: readonly string[]): { faults: DraftFaults; rest: string[] } {
  const faults: DraftFaults = {};
  const rest: string[] = [];
  for (const field of fields) {
    const found = /^(\/spareShare|\/rings\/\d+\/\w+): (.*)$/.exec(field);
    if (found) faults[found[1]] = found[2];
    else rest.push(field);
  }
  return { faults, rest };
}
