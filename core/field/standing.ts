import type { Facts, MadeRecord } from './facts.ts';
import { type AnyRecord, idOf } from './order.ts';

/** A record that no longer counts, and the word that took it out. It stays readable. */
export interface LeftOut {
  record: AnyRecord;
  why: 'withdrawn' | 'settledOver';
  by: AnyRecord;
}

export interface Standing {
  /** In order, without the words `withdrawn` and `settled` themselves. */
  standing: AnyRecord[];
  leftOut: LeftOut[];
  /** Words that count. */
  settled: MadeRecord<'settled'>[];
  /** Words that name no earlier record, or settle in favour of one that was taken back: they change nothing. */
  idle: AnyRecord[];
}

/** A record's place, and what a word may point to: only what came before it. */
class Places {
  private readonly at = new Map<string, number>();
  private readonly records: readonly AnyRecord[];

  constructor(records: readonly AnyRecord[]) {
    this.records = records;
    for (const [index, { id }] of records.entries()) this.at.set(idOf(id), index);
  }

  before(index: number, id: string): AnyRecord | null {
    const found = this.at.get(idOf(id));
    return found !== undefined && found < index ? this.records[found] : null;
  }
}

/**
 * Which records of one cover count. `records` in their order (`inOrder`). Words are read from the last back, so that a
 * word can itself be taken back; of two settlements that contradict each other the later holds, and what it keeps is
 * never lost to the earlier.
 */
export function standingOf(records: readonly AnyRecord[]): Standing {
  const places = new Places(records);
  const out = new Map<AnyRecord, LeftOut>();
  const idle: AnyRecord[] = [];
  for (const [index, word] of [...records.entries()].reverse()) {
    if (word.kind !== 'withdrawn' || out.has(word)) continue;
    const record = places.before(index, word.facts.record);
    if (record) out.set(record, { record, why: 'withdrawn', by: word });
    else idle.push(word);
  }
  const settled: MadeRecord<'settled'>[] = [];
  const held = new Set<AnyRecord>();
  for (const [index, word] of [...records.entries()].reverse()) {
    if (word.kind !== 'settled' || out.has(word)) continue;
    const keep = places.before(index, word.facts.keep);
    const over = overOf(word.facts).map((id) => places.before(index, id));
    if (!keep || out.get(keep)?.why === 'withdrawn' || over.every((record) => record === null)) {
      idle.push(word);
      continue;
    }
    settled.unshift(word);
    held.add(keep);
    for (const record of over)
      if (record && !held.has(record) && !isWord(record) && !out.has(record))
        out.set(record, { record, why: 'settledOver', by: word });
  }
  const isIn = (record: AnyRecord) => !out.has(record) && !isWord(record);
  return {
    standing: records.filter(isIn),
    leftOut: records.flatMap((record) => out.get(record) ?? []),
    settled,
    idle: records.filter((record) => idle.includes(record)),
  };
}

const isWord = ({ kind }: AnyRecord) => kind === 'withdrawn' || kind === 'settled';

const overOf = ({ keep, over }: Facts['settled']) => over.filter((id) => idOf(id) !== idOf(keep));
