import { effect } from '@preact/signals';
import type { Map as StreetMap } from 'maplibre-gl';
import { useEffect, useRef, useState } from 'preact/hooks';
import { markNamed } from '../../map/geometry.ts';
import { covers, night } from '../night.ts';
import { boundsOf, coverPoints, type Place, placeFeatures, streetAzimuthDeg } from './features.ts';
import { makeNightMap, setNightData } from './make-map.ts';
import { askPlace } from './position.ts';

/** Drawn from what is on the phone alone: nothing of it asks the server. */
export default function NightMap({ chosen }: { chosen: string | null }) {
  const ref = useRef<HTMLDivElement>(null);
  const [map, setMap] = useState<StreetMap | null>(null);
  const [fault, setFault] = useState('');
  useEffect(() => {
    let isGone = false;
    let stop = () => {};
    start(ref.current!, chosen).then(
      (made) => {
        const end = follow(made);
        stop = () => {
          end();
          made.remove();
        };
        if (isGone) stop();
        else setMap(made);
      },
      (error: unknown) => {
        console.warn('The map cannot be drawn', error);
        if (!isGone) setFault('This phone cannot draw the map. The list has every cover.');
      },
    );
    return () => {
      isGone = true;
      stop();
    };
  }, []);
  return (
    <div class="crew-map">
      <div ref={ref} class="crew-map-canvas" />
      {fault && (
        <p class="crew-map-note" role="alert">
          {fault}
        </p>
      )}
      {map && <Buttons map={map} chosen={chosen} />}
    </div>
  );
}

async function start(container: HTMLElement, chosen: string | null): Promise<StreetMap> {
  const { project } = night.peek()!.bundle;
  const structure = covers.peek().find(({ card }) => card.structure.id === chosen)?.card.structure;
  const map = await makeNightMap({
    container,
    bounds: boundsOf(covers.peek()) ?? [-180, -80, 180, 80],
    chosen: structure ? { id: structure.id, at: [structure.lon, structure.lat] } : null,
    unit: project.elevationUnit === 'm' ? 'metric' : 'imperial',
    onOpen: (id) => {
      location.hash = `#/${encodeURIComponent(id)}`;
    },
  });
  map.getCanvas().setAttribute('aria-label', 'Map of tonight’s covers; the list has the same covers');
  Object.assign(window, { rimplaneNightMap: map });
  return map;
}

/** Keeps what is drawn like what is on the phone, unsent work included; returns what ends it. */
const follow = (map: StreetMap) =>
  effect(() => {
    const streets = night.value?.bundle.streets;
    const names = covers.value.map(({ card }) => card.structure.street);
    if (streets) setNightData(map, 'streets', markNamed(streets, names));
    setNightData(map, 'covers', coverPoints(covers.value));
  });

function Buttons({ map, chosen }: { map: StreetMap; chosen: string | null }) {
  const [azimuth, setAzimuth] = useState<number | null>(null);
  const turn = (to: number | null) => {
    map.jumpTo({ bearing: to ?? 0 });
    setAzimuth(to);
  };
  const up = streetToGoBy(chosen);
  return (
    <>
      <div class="crew-map-zoom">
        <button type="button" aria-label="Nearer" onClick={() => map.zoomIn({ duration: 0 })}>
          +
        </button>
        <button type="button" aria-label="Farther" onClick={() => map.zoomOut({ duration: 0 })}>
          −
        </button>
      </div>
      <div class="crew-map-buttons">
        <Where map={map} />
        {up !== null && (
          <button
            type="button"
            aria-pressed={azimuth !== null}
            onClick={() => turn(azimuth === null ? up : null)}
          >
            <svg width="22" height="22" viewBox="-11 -11 22 22" aria-hidden="true">
              <g transform={`rotate(${-(azimuth ?? 0)})`}>
                <path d="M0-10 6 8 0 4-6 8Z" fill="currentColor" />
              </g>
            </svg>
            {azimuth === null ? 'North up' : 'Street up'}
          </button>
        )}
      </div>
    </>
  );
}

/** Of the cover that is marked, else of the first one that is left to do. */
function streetToGoBy(chosen: string | null): number | null {
  const isDone = (status: string | null) => status === 'set' || status === 'accepted';
  const at =
    covers.value.find(({ card }) => card.structure.id === chosen) ??
    covers.value.find(({ status }) => !isDone(status)) ??
    covers.value[0];
  return at ? streetAzimuthDeg(night.value!.bundle.streets, at) : null;
}

function Where({ map }: { map: StreetMap }) {
  const [note, setNote] = useState('');
  const [place, setPlace] = useState<Place | null>(null);
  const isMetric = night.value?.bundle.project.elevationUnit === 'm';
  const ask = async () => {
    setNote('Asking the phone ...');
    try {
      const found = await askPlace();
      setPlace(found);
      setNote('');
      setNightData(map, 'place', placeFeatures(found));
      map.jumpTo({ center: [found.longitude, found.latitude], zoom: Math.max(16.5, map.getZoom()) });
    } catch (error) {
      setNote(error instanceof Error ? error.message : String(error));
    }
  };
  const off =
    place && (isMetric ? `${Math.ceil(place.accuracy)} m` : `${Math.ceil(place.accuracy / 0.3048)} ft`);
  return (
    <>
      <p class="crew-map-said" role="status">
        {note || (off && `You are within ${off} of the dot. Neither kept nor sent.`)}
      </p>
      <button type="button" onClick={() => void ask()}>
        Where am I?
      </button>
    </>
  );
}
