import { computed, signal } from '@preact/signals';
import type { AreaDraft } from '../find/area.ts';
import { view } from '../state.ts';
import { ask } from './asked.ts';

/** The area is being drawn: clicks on the map set its corners. */
export const isDrawing = signal(false);

/** Row that is marked on the map and in the table. */
export const chosenRow = signal<string | null>(null);

/** The area of the question itself: from its third corner on it is asked about while it is drawn. */
export const areaDraft: AreaDraft = {
  corners: computed(() => view.value.overlay.area),
  set: (area) => ask({ area }, 'replace'),
  clear: () => ask({ area: [] }),
  isDrawing: () => isDrawing.value,
};
