import type { AnyKept, Facts, KeptRecord, RecordKind, Tie } from './facts.ts';

/** What stands at a cover, by its records. */
export type FieldStanding = 'plated' | 'stacked' | 'set' | 'offGrade' | 'accepted';

export interface OpenPlate {
  plate: string;
  /** By the clock of the device. */
  since: string;
  by: string;
  ties: Tie[];
}

/** Records of one kind that contradict each other: none of their devices knew of the other. */
export interface Conflict {
  kind: RecordKind;
  records: string[];
}

export interface FieldState {
  /** null: nothing was done yet. */
  status: FieldStanding | null;
  /** That lies over the opening now, until it is reopened. */
  plate: OpenPlate | null;
  /** The last check of the rim since it was last worked on. */
  rim: KeptRecord<'rimChecked'> | null;
  accepted: KeptRecord<'accepted'> | null;
  conflicts: Conflict[];
}

/** How far a rim may stand above (`proud`) and lie below (`low`) its target, metres. */
export interface RimLimits {
  proud: number;
  low: number;
}

/**
 * Records that hold, in the order of receipt: neither taken back nor settled against. A word that takes back or settles
 * can itself be taken back by a later one.
 */
export function standing(records: readonly AnyKept[]): AnyKept[] {
  const inOrder = [...records].sort((a, b) => a.seq - b.seq);
  const gone = new Set<string>();
  for (const record of inOrder.toReversed()) {
    if (gone.has(record.id)) continue;
    if (record.kind === 'withdrawn') gone.add(record.facts.record.toLowerCase());
    if (record.kind === 'settled') for (const id of record.facts.over) gone.add(id.toLowerCase());
  }
  return inOrder.filter(({ id }) => !gone.has(id));
}

/** What the records of one cover come to, in the order of receipt. */
export function fieldState(records: readonly AnyKept[], limits: RimLimits): FieldState {
  const held = standing(records);
  const state: FieldState = { status: null, plate: null, rim: null, accepted: null, conflicts: [] };
  for (const record of held) take(state, record, limits);
  if (state.plate) state.status = 'plated';
  return { ...state, conflicts: findConflicts(held) };
}

const stacks: readonly RecordKind[] = ['dryStacked', 'ringsUsed'];
const sets: readonly RecordKind[] = ['frameSet', 'backfilled', 'collarPlaced'];

function take(state: FieldState, record: AnyKept, limits: RimLimits): void {
  const { kind } = record;
  if (kind === 'plated') {
    const { plate, ties } = record.facts;
    state.plate = { plate, since: record.deviceTime, by: record.by, ties };
    worked(state, null);
  } else if (kind === 'reopened') state.plate = null;
  else if (stacks.includes(kind)) worked(state, 'stacked');
  else if (sets.includes(kind)) worked(state, 'set');
  else if (kind === 'rimChecked') {
    state.rim = record;
    state.accepted = null;
    state.status = isWithin(record.facts, limits) ? 'set' : 'offGrade';
  } else if (kind === 'accepted') {
    state.accepted = record.facts.accepted ? record : null;
    state.status = record.facts.accepted ? 'accepted' : 'offGrade';
  }
}

/** A rim that was checked, or accepted, is another one after it was worked on. */
function worked(state: FieldState, status: FieldStanding | null): void {
  state.status = status;
  state.rim = null;
  state.accepted = null;
}

/** A rim exactly at a limit is within it, whatever a float makes of it. */
const roundingM = 1e-9;

function isWithin({ rimErrorsM }: Facts['rimChecked'], { proud, low }: RimLimits): boolean {
  return rimErrorsM.every((error) => error <= proud + roundingM && error >= -low - roundingM);
}

/** What one kind of records says that two cannot both be right about; a record of another kind stands beside others. */
const claims: { [Kind in RecordKind]?: (facts: Facts[Kind]) => unknown } = {
  found: ({ outcome }) => outcome,
  plated: ({ plate }) => plate,
  liftReached: ({ stage, lift, way }) => [stage, lift, way],
  stackChosen: ({ stack }) => stack,
  ringsUsed: ({ stack }) => stack,
  rimChecked: ({ rimErrorsM }) => rimErrorsM,
  accepted: ({ accepted }) => accepted,
};

const claimOf = ({ kind, facts }: AnyKept): string | null => {
  const claim = claims[kind] as ((facts: unknown) => unknown) | undefined;
  return claim ? JSON.stringify(claim(facts)) : null;
};

/** `held` in the order of receipt. */
function findConflicts(held: readonly AnyKept[]): Conflict[] {
  const found = new Map<RecordKind, Set<string>>();
  held.forEach((later, index) => {
    const claim = claimOf(later);
    if (claim === null) return;
    for (const earlier of held.slice(0, index)) {
      const isBlind = earlier.device !== later.device && later.seen < earlier.seq;
      if (!isBlind || earlier.kind !== later.kind || claimOf(earlier) === claim) continue;
      const ids = found.get(later.kind) ?? new Set();
      found.set(later.kind, ids.add(earlier.id).add(later.id));
    }
  });
  return [...found].map(([kind, ids]) => ({ kind, records: [...ids] }));
}
