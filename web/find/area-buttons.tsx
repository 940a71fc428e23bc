import type { Map as StreetMap } from 'maplibre-gl';
import { addAreaCorner, areaCorners, choosingBy } from './picked.ts';

/** Corners without a pointer: the map is moved under a cross by its arrow keys. */
export function AreaButtons({ map }: { map: () => StreetMap | null }) {
  if (choosingBy.value !== 'area') return null;
  const atMiddle = () => {
    const middle = map()?.getCenter();
    if (middle) addAreaCorner([middle.lng, middle.lat]);
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
          disabled={areaCorners.value.length === 0}
          onClick={() => {
            areaCorners.value = areaCorners.peek().slice(0, -1);
          }}
        >
          Take back the last
        </button>
      </p>
    </>
  );
}
