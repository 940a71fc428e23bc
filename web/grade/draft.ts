import { signal } from '@preact/signals';
import type { TreatmentZone } from '#shared/treatment.ts';
import { changeLaid, zones } from '../imports/laid.ts';
import { server } from '../load.ts';
import { announcement } from '../state.ts';
import { type Corner, cornersOf, idFrom, polygonOf } from './outline.ts';

/** A zone that is being drawn or changed; nothing of it is stored. */
export interface Draft {
  /** The stored zone that is changed; null for a new one. */
  of: TreatmentZone | null;
  /** null: the outline stays as it is stored, since it has parts or holes. */
  corners: Corner[] | null;
}

export const draft = signal<Draft | null>(null);

export const beginZone = () => (draft.value = { of: null, corners: [] });

export const changeZone = (zone: TreatmentZone) =>
  (draft.value = { of: zone, corners: cornersOf(zone.geometry) });

export function setCorners(corners: Corner[]): void {
  const now = draft.peek();
  if (!now) return;
  draft.value = { ...now, corners };
  announcement.value = `${corners.length} ${corners.length === 1 ? 'corner' : 'corners'}.`;
}

export const addCorner = (corner: Corner) => setCorners([...(draft.peek()?.corners ?? []), corner]);

export interface ZoneFigures {
  name: string;
  millDepthM: number;
  liftsM: number[];
  setDownM: number | null;
}

/** Stores the draft; it stays open where the server refuses it. */
export async function storeZone(figures: ZoneFigures): Promise<void> {
  const { of, corners } = draft.peek()!;
  const geometry = corners ? polygonOf(corners) : undefined;
  const taken = (zones.peek().value ?? []).map(({ id }) => id);
  const isStored = await changeLaid((project) =>
    of
      ? server().changeZone(project, of, { ...figures, geometry })
      : server().createZone(project, { id: idFrom(figures.name, taken), ...figures, geometry: geometry! }),
  );
  if (isStored) draft.value = null;
}

export const removeZone = (zone: TreatmentZone) =>
  changeLaid((project) => server().removeZone(project, zone));
