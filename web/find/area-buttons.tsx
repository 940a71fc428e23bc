import type { Map as StreetMap } from 'maplibre-gl';
import { type AreaDraft, addCorner, takeBackCorner } from './area.ts';

/** Corners without a pointer: the map is moved under a cross by its arrow keys. */
export function AreaButtons({ map, draft }: { map: () => StreetMap | null; draft: AreaDraft }) {
  if (!draft.isDrawing()) return null;
  const atMiddle = () => {
    const middle = map()?.getCenter();
    if (middle) addCorner(draft, [middle.lng, middle.lat]);
  };
  return (
    <>
      <span class="crosshair" aria-hidden="true" />
      <p class="area-buttons">
        <span>Click the corners of an area, or move the map under the cross with its arrow keys.</span>
        <button type="button" class="button" onClick={atMiddle}>
          Corner at the cross
        </button>
        <button
          type="button"
          class="button"
          disabled={draft.corners.value.length === 0}
          onClick={() => takeBackCorner(draft)}
        >
          Take back the last
        </button>
      </p>
    </>
  );
}
