import { signal } from '@preact/signals';
import type { CoverCard } from '#shared/cover.ts';
import type { HistoryEvent, Structure, StructurePatch } from '#shared/structure.ts';
import { ApiError, faultOf } from '../api.ts';
import { planAgain, refresh, server } from '../load.ts';
import { announcement, card, type Fault, project, tilesChanged } from '../state.ts';
import type { Units } from '../units.ts';
import {
  type Draft,
  type Field,
  type FieldFaults,
  type FieldKey,
  fieldOf,
  fields,
  patchOf,
  textOf,
} from './fields.ts';

/** A cover's register entry while it is changed; nothing of it is stored. */
export interface Editing {
  structureId: string;
  /** As it was when the change was begun: what differs from it now was changed by somebody else. */
  base: Structure;
  draft: Draft;
  faults: FieldFaults;
  /** Version of somebody else's change that Store has pointed out: only after that it puts the draft over it. */
  warnedOf: number | null;
}

export const editing = signal<Editing | null>(null);
/** The last change made from the card, for as long as it can be undone from there. */
export const edited = signal<{ structureId: string; eventId: number; words: string } | null>(null);
export const editFault = signal<Fault | null>(null);

export function beginEditing(structure: Structure): void {
  editFault.value = null;
  editing.value = { structureId: structure.id, base: structure, draft: {}, faults: {}, warnedOf: null };
}

export function leaveEditing(): void {
  editing.value = null;
  editFault.value = null;
}

export function type(key: FieldKey, text: string): void {
  const now = editing.peek();
  if (!now) return;
  const { [key]: _, ...faults } = now.faults;
  editing.value = { ...now, draft: { ...now.draft, [key]: text }, faults };
}

/** Stores the draft over the register entry as it is read now; true where it was stored or nothing was changed. */
export async function storeEdit(structure: Structure, units: Units): Promise<boolean> {
  const now = editing.peek();
  if (!now) return false;
  const read = patchOf(structure, now.draft, units);
  if ('faults' in read) {
    editing.value = { ...now, faults: read.faults };
    return false;
  }
  if (Object.keys(read.patch).length === 0) {
    leaveEditing();
    return true;
  }
  if (isOvertaken(now, structure, units) && now.warnedOf !== structure.version) {
    editing.value = { ...now, faults: {}, warnedOf: structure.version };
    editFault.value = { message: overtakenWords, fields: [] };
    return false;
  }
  return tryTo(async () => {
    await server().changeStructure(structure, read.patch);
    leaveEditing();
    await showEdit();
    const event = eventOf(card.peek().value, read.patch);
    if (event)
      edited.value = { structureId: structure.id, eventId: event.id, words: `${structure.id} was changed.` };
    announcement.value = `${structure.id} was changed.`;
  });
}

const overtakenWords =
  'Somebody changed the same meanwhile: see below. Store again to put yours in its place.';

/** Whether a field that was touched here was changed by somebody else since. */
export const isFieldOvertaken = (
  { draft, base }: Editing,
  field: Field,
  { now, units }: { now: Structure; units: Units },
): boolean => {
  const [text, theirs] = [draft[field.key], textOf(field, now, units)];
  return text !== undefined && theirs !== textOf(field, base, units) && theirs !== text;
};

const isOvertaken = (change: Editing, now: Structure, units: Units) =>
  fields.some((field) => isFieldOvertaken(change, field, { now, units }));

/** Takes one change back; the server refuses where somebody changed the same since. */
export function undoEdit(structureId: string, eventId: number): Promise<boolean> {
  return tryTo(async () => {
    await server().undoEdit(structureId, eventId);
    edited.value = null;
    await showEdit();
    announcement.value = `The change of ${structureId} was taken back.`;
  });
}

/**
 * Shows a change on map, table and card. A plan that was in force is brought up to date with it: of one cover that takes
 * a moment. One that waits for other changes too is left to whoever asks for it.
 */
export async function showEdit(): Promise<void> {
  const before = project.peek();
  tilesChanged.value += 1;
  await refresh();
  if (before && before.planRevision > 0 && !before.planStale) await planAgain();
}

async function tryTo(act: () => Promise<void>): Promise<boolean> {
  editFault.value = null;
  try {
    await act();
    return true;
  } catch (error) {
    placeFault(faultOf(error));
    if (error instanceof ApiError && (error.status === 412 || error.status === 409)) await refresh();
    return false;
  }
}

/** What the server says of a field stands at that field; the rest above them all. */
function placeFault({ message, fields: lines }: Fault): void {
  const faults: FieldFaults = {};
  const others: string[] = [];
  for (const line of lines) {
    const [, key = '', what = ''] = /^\/(?:condition\/)?(\w+): (.*)$/s.exec(line) ?? [];
    const field = editing.peek() && fieldOf(key);
    if (field) faults[field.key] = what;
    else others.push(line);
  }
  const now = editing.peek();
  if (now) editing.value = { ...now, faults };
  editFault.value = { message, fields: others };
}

/** The line of the history that a change left: the latest that made just these fields what they are. */
function eventOf(held: CoverCard | null, patch: StructurePatch): HistoryEvent | undefined {
  const [[field, made]] = Object.entries(patch);
  return held?.history.find(({ kind, detail }) => {
    const change = detail[field];
    return kind === 'changed' && Array.isArray(change) && isSame(change[1], made);
  });
}

/** Whether a change in the history can still be taken back: what it made is what stands now. */
export function canUndo({ kind, detail }: HistoryEvent, structure: Structure): boolean {
  const changes = Object.entries(detail).filter(
    (entry): entry is [keyof StructurePatch, [unknown, unknown]] => Array.isArray(entry[1]),
  );
  return (
    kind === 'changed' &&
    changes.length > 0 &&
    changes.every(([field, [was, made]]) => isSame(structure[field], made) && !isSame(was, made))
  );
}

/** Fields of an object come from the database in an order of its own. */
function isSame(a: unknown, b: unknown): boolean {
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return a === b;
  const [one, other] = [a, b] as Record<string, unknown>[];
  return Object.keys({ ...one, ...other }).every((key) => isSame(one[key], other[key]));
}
