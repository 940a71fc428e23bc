import type { ReadonlySignal } from '@preact/signals';
import type { Corner } from '../grade/outline.ts';

/** An area that is drawn on a map corner by corner; the first corner is not repeated. */
export interface AreaDraft {
  corners: ReadonlySignal<readonly Corner[]>;
  set: (corners: Corner[]) => void;
  /** Takes the whole area away, as a step that the back button undoes where the address holds it. */
  clear: () => void;
  /** Clicks on the map set corners for now. */
  isDrawing: () => boolean;
}

export const addCorner = ({ corners, set }: AreaDraft, corner: Corner) => set([...corners.peek(), corner]);

export const takeBackCorner = ({ corners, set }: AreaDraft) => set(corners.peek().slice(0, -1));
