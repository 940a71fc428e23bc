import type { RecordKind } from './facts.ts';
import { type AnyRecord, seqOf } from './order.ts';

/** Records of one kind that contradict each other, in order; a named person settles which of them holds. */
export interface Conflict {
  kind: RecordKind;
  records: AnyRecord[];
}

/** Of these there may be several beside each other. */
const additive: ReadonlySet<RecordKind> = new Set(['photo', 'note', 'vacuum', 'withdrawn', 'settled']);

/** Two records are of one step where these are the same. */
function stepOf(record: AnyRecord): string {
  if (record.kind !== 'liftReached') return record.kind;
  return `${record.kind} ${record.facts.stage} ${record.facts.lift}`;
}

/**
 * Conflicts among the standing records of one cover, in their order: two of one step by different devices, the later of
 * which was made before its device had received the earlier. Two that say the same do not contradict each other.
 */
export function conflictsOf(standing: readonly AnyRecord[]): Conflict[] {
  const bySteps = Map.groupBy(
    standing.filter(({ kind }) => !additive.has(kind)),
    stepOf,
  );
  return [...bySteps.values()].flatMap((records) => groupsOf(records));
}

/** Records that contradict each other, directly or by way of a third, make one conflict. */
function groupsOf(records: readonly AnyRecord[]): Conflict[] {
  const groups: AnyRecord[][] = [];
  for (const later of records) {
    const against = groups.filter((group) => group.some((earlier) => contradict(earlier, later)));
    const one = [...against.flat(), later];
    for (const group of against) groups.splice(groups.indexOf(group), 1);
    groups.push(one);
  }
  const place = (record: AnyRecord) => records.indexOf(record);
  return groups
    .filter((group) => group.length > 1)
    .map((group) => ({ kind: group[0].kind, records: group.sort((a, b) => place(a) - place(b)) }));
}

function contradict(earlier: AnyRecord, later: AnyRecord): boolean {
  const isBlind = earlier.device.toLowerCase() !== later.device.toLowerCase() && later.seen < seqOf(earlier);
  return isBlind && textOf(earlier.facts) !== textOf(later.facts);
}

/** The same text for the same facts, in whichever order their fields were written. */
function textOf(facts: unknown): string {
  return JSON.stringify(facts, (_, value) =>
    typeof value === 'object' && value !== null && !Array.isArray(value)
      ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)))
      : value,
  );
}
