import { useEffect, useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { basemap, covers, show, view } from '../state.ts';
import { CardPanel } from './card/card.tsx';
import { CountBar } from './count-bar.tsx';
import { CoverTable } from './cover-table.tsx';
import { Empty, FaultNote } from './notes.tsx';
import { StreetPanel } from './street-panel.tsx';

type MapView = typeof import('../map/street-map.tsx').default;

/** Fetched at once, beside the data: the map's code is far larger than the rest. */
const mapCode = import('../map/street-map.tsx');

/** What is left (bar), where (map), how far off (street), which (table), why (card). */
export function Desk({ project }: { project: Project }) {
  const open = view.value.cover;
  if (project.coverCount === 0) {
    return (
      <Empty
        sentence="No covers yet. Add a register to see them on the map."
        action={{ word: 'Add files', run: () => show({ page: 'surveys' }) }}
      />
    );
  }
  return (
    <div class="desk">
      <h1 class="hidden">{project.name}: covers</h1>
      <CountBar />
      <div class="floor">
        <div class="left">
          {project.planStale && project.planRevision > 0 && <StaleNote />}
          {covers.value.fault && <FaultNote fault={covers.value.fault} />}
          <MapFrame project={project} />
          <StreetPanel />
          <CoverTable />
        </div>
        {open && <CardPanel id={open} />}
      </div>
    </div>
  );
}

function StaleNote() {
  return (
    <p class="stale-strip">
      <b>Something changed since this plan.</b> The old plan stays until you plan again.
    </p>
  );
}

function MapFrame({ project }: { project: Project }) {
  const [code, setCode] = useState<{ StreetMap: MapView } | null>(null);
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    mapCode.then(
      ({ default: StreetMap }) => setCode({ StreetMap }),
      () => setFailed(true),
    );
  }, []);
  const bounds = project.boundsLonLat as [number, number, number, number] | null;
  return (
    <section class="map" aria-label="Map">
      {failed && <p class="no-rows">The map could not be loaded. The table below holds the same covers.</p>}
      {basemap.value.fault && (
        <p class="map-note">The basemap could not be loaded: {basemap.value.fault.message}</p>
      )}
      {code && bounds && !basemap.value.loading && <code.StreetMap project={project} bounds={bounds} />}
    </section>
  );
}
