import type { AnyMade, Facts, RecordKind } from '#core/field/facts.ts';
import { faultOf } from '../../api.ts';
import { refresh, server } from '../../load.ts';
import { announcement, type Fault, project, tilesChanged } from '../../state.ts';

const kept = (name: string): string => {
  try {
    return localStorage.getItem(name) ?? '';
  } catch {
    return '';
  }
};
const keep = (name: string, value: string): void => {
  try {
    localStorage.setItem(name, value);
  } catch {
    // A browser that keeps nothing asks for the name again.
  }
};

/** Who accepts at this desk, as it was typed last. */
export const deskName = (): string => kept('rimplane-desk-name');

function deskDevice(): string {
  const known = kept('rimplane-desk-device');
  if (known) return known;
  const made = crypto.randomUUID();
  keep('rimplane-desk-device', made);
  return made;
}

interface AtDesk<Kind extends RecordKind> {
  structureId: string;
  kind: Kind;
  facts: Facts[Kind];
  by: string;
  /** Highest `seq` of the cover's records that the page shows. */
  seen: number;
}

/** Records something at the desk and shows what it makes of the cover; why it was refused, or null. */
export async function recordAtDesk<Kind extends RecordKind>(given: AtDesk<Kind>): Promise<Fault | null> {
  keep('rimplane-desk-name', given.by);
  const moment = { id: crypto.randomUUID(), device: deskDevice(), deviceTime: new Date().toISOString() };
  try {
    await server().record(project.peek()!.id, { ...given, ...moment } as AnyMade);
  } catch (error) {
    return faultOf(error);
  }
  announcement.value = `${given.structureId}: recorded.`;
  tilesChanged.value += 1;
  await refresh();
  return null;
}
