import type { AnyKept, AnyMade } from './facts.ts';

/** A record as a device has it: kept by the server, or its own and not sent yet. */
export type AnyRecord = AnyKept | AnyMade;

/** Position in the order of receipt; Infinity while nobody received it. */
export const seqOf = (record: AnyRecord): number => ('seq' in record ? record.seq : Infinity);

/**
 * Every record once: those the server keeps by `seq`, then a device's unsent ones in the order given. One that was
 * received meanwhile counts as received.
 */
export function inOrder(records: readonly AnyRecord[]): AnyRecord[] {
  const kept = new Map<string, AnyRecord>();
  const unsent = new Map<string, AnyRecord>();
  for (const record of records) {
    const id = idOf(record.id);
    if (!('seq' in record)) unsent.set(id, unsent.get(id) ?? record);
    else kept.set(id, record);
  }
  const received = [...kept.values()].sort((a, b) => seqOf(a) - seqOf(b));
  return [...received, ...[...unsent].filter(([id]) => !kept.has(id)).map(([, record]) => record)];
}

/** UUIDs are one whatever the case of their letters. */
export const idOf = (id: string): string => id.toLowerCase();
