import { signal } from '@preact/signals';
import type { LineCollection, LineFeature, LineKind } from '#shared/line.ts';
import type { Project } from '#shared/project.ts';
import type { Surface, SurfacePatch } from '#shared/surface.ts';
import type { TreatmentZone } from '#shared/treatment.ts';
import { faultOf } from '../api.ts';
import { load, refresh, server } from '../load.ts';
import { type Fault, type Loaded, nothingLoaded, project } from '../state.ts';

/** What imports have laid down in the project. */
export const surfaces = signal<Loaded<Surface[]>>(nothingLoaded);
export const lines = signal<Loaded<LineCollection>>(nothingLoaded);
export const zones = signal<Loaded<TreatmentZone[]>>(nothingLoaded);
export const laidFault = signal<Fault | null>(null);

export async function loadLaid(): Promise<void> {
  const now = project.peek();
  if (!now) return;
  await Promise.all([
    load(surfaces, () => server().surfaces(now.id)),
    load(lines, () => server().lines(now.id)),
    load(zones, () => server().zones(now.id)),
  ]);
}

let laidFor = '';
let drawnFor = '';

const inputsOf = (now: Project | null) => now && `${now.id}/${now.inputRevision}`;

/** Of these only lines and zones, which maps draw: surfaces have their shots counted, millions in a city. */
export function keepDrawn(): void {
  const now = project.peek();
  const key = inputsOf(now);
  if (!now || key === null || key === laidFor || key === drawnFor) return;
  drawnFor = key;
  void load(lines, () => server().lines(now.id));
  void load(zones, () => server().zones(now.id));
}

/** Reads them where they may be others than those that were read: of another project, or after a change of its inputs. */
export function keepLaid(): void {
  const key = inputsOf(project.peek());
  if (key === null || key === laidFor) return;
  laidFor = key;
  void loadLaid();
}

/** Whether it was done. A change that somebody else's overtook is refused by the server; what is shown is then read again. */
export async function changeLaid(ask: (projectId: string) => Promise<unknown>): Promise<boolean> {
  const now = project.peek();
  if (!now) return false;
  laidFault.value = null;
  try {
    await ask(now.id);
  } catch (error) {
    laidFault.value = faultOf(error);
  }
  await Promise.all([loadLaid(), refresh()]);
  return laidFault.peek() === null;
}

export const changeSurface = (surface: Surface, patch: SurfacePatch) =>
  changeLaid((id) => server().changeSurface(id, surface, patch));

export const changeLine = (line: LineFeature, kind: LineKind) =>
  changeLaid((id) => server().changeLine(id, line, { kind }));

export const renameLine = (line: LineFeature, name: string) =>
  changeLaid((id) => server().renameLine(id, line, name));

export const removeSurface = (surface: Surface) => changeLaid((id) => server().removeSurface(id, surface));

export const removeLine = (line: LineFeature) => changeLaid((id) => server().removeLine(id, line));

export type FinishedFrom = 'automatic' | 'survey' | 'design' | 'treatment';

/** Where plans take the finished grade from. */
export const chooseFinishedFrom = (from: FinishedFrom) =>
  changeLaid(() => server().changeProject(project.peek()!, { policy: { finishedFrom: from } }));
