import { effect } from '@preact/signals';
import type { GeoJSONSource, Map as StreetMapType } from 'maplibre-gl';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { addCorner, draft, setCorners } from '../grade/draft.ts';
import type { Corner } from '../grade/outline.ts';
import { lines, zones } from '../imports/laid.ts';
import { server } from '../load.ts';
import { streets } from '../state.ts';
import { createMap, setData } from './create-map.ts';
import { markStreets } from './geometry.ts';
import { ownStyle } from './style.ts';
import { addZoneLayers, draftFeatures, lineFeatures, zoneFeatures } from './zone-layers.ts';

interface Props {
  project: Project;
  bounds: [number, number, number, number];
}

/** Zones and lines over the streets. While a zone is drawn a click sets a corner, and so does a button for the keyboard. */
export default function ZoneMap({ project, bounds }: Props) {
  const ref = useRef<HTMLDivElement>(null);
  const [map, setMap] = useState<StreetMapType | null>(null);
  useEffect(() => {
    const tiles = server().tiles(project.id);
    const made = createMap({
      container: ref.current!,
      style: ownStyle({ latitude: (bounds[1] + bounds[3]) / 2, tiles }),
      bounds,
      at: null,
      unit: project.elevationUnit === 'm' ? 'metric' : 'imperial',
      onMove: () => {},
      onOpen: () => {},
    });
    made.getCanvas().setAttribute('aria-label', 'Map of zones and lines; both are listed on this page');
    Object.assign(window, { rimplaneZoneMap: made });
    const stop: (() => void)[] = [];
    made.once('load', () => {
      addZoneLayers(made);
      stop.push(...follow(made));
      setMap(made);
    });
    return () => {
      for (const end of stop) end();
      made.remove();
    };
  }, [project.id]);
  const isDrawing = draft.value?.corners != null;
  return (
    <>
      <div class="zone-map">
        <div ref={ref} class="map-canvas" />
        {isDrawing && <span class="crosshair" aria-hidden="true" />}
      </div>
      {map && isDrawing && <CornerButtons map={map} />}
    </>
  );
}

function CornerButtons({ map }: { map: StreetMapType }) {
  const corners = draft.value?.corners ?? [];
  const atMiddle = () => {
    const { lng, lat } = map.getCenter();
    addCorner([lng, lat]);
  };
  return (
    <p class="corner-buttons">
      <span>
        Click on the map to set a corner, or move the map under the cross with its arrow keys. Drag a corner
        to move it.
      </span>
      <button type="button" class="button" onClick={atMiddle}>
        Corner at the cross
      </button>
      <button
        type="button"
        class="button"
        disabled={corners.length === 0}
        onClick={() => setCorners(corners.slice(0, -1))}
      >
        Take back the last
      </button>
    </p>
  );
}

function follow(map: StreetMapType): (() => void)[] {
  const put = (source: string, data: GeoJSON.FeatureCollection) => {
    void (map.getSource(source) as GeoJSONSource).setData(data);
  };
  map.on('click', ({ lngLat: { lng, lat } }) => {
    if (draft.peek()?.corners) addCorner([lng, lat]);
  });
  moveCorners(map);
  return [
    effect(() => {
      const { value } = streets;
      if (value.value) setData(map, 'streets', markStreets(value.value, []));
    }),
    effect(() => put('zones', zoneFeatures(zones.value.value ?? [], draft.value?.of?.id ?? null))),
    effect(() => put('lines', lineFeatures(lines.value.value?.features ?? []))),
    effect(() => {
      const corners = draft.value?.corners ?? null;
      put('draft', draftFeatures(corners ?? []));
      // A click on a count would come nearer instead of setting a corner.
      map.setLayoutProperty('counts', 'visibility', corners ? 'none' : 'visible');
    }),
  ];
}

function moveCorners(map: StreetMapType): void {
  for (const [down, move, up] of [
    ['mousedown', 'mousemove', 'mouseup'],
    ['touchstart', 'touchmove', 'touchend'],
  ] as const) {
    map.on(down, 'draft-corners', (event) => {
      const number = Number(event.features?.[0]?.properties.number) - 1;
      if (!(number >= 0)) return;
      event.preventDefault();
      const drag = ({ lngLat: { lng, lat } }: { lngLat: { lng: number; lat: number } }) => {
        const corners = draft.peek()?.corners ?? [];
        setCorners(corners.map((corner, at): Corner => (at === number ? [lng, lat] : corner)));
      };
      map.on(move, drag);
      map.once(up, () => map.off(move, drag));
    });
  }
}
