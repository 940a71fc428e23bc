import { useEffect, useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { AssignPanel } from '../find/assign-panel.tsx';
import { rows } from '../find/rows.ts';
import { basemap, covers, mapFault, show, streets, view } from '../state.ts';
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
          <PlanState project={project} />
          {covers.value.fault && <FaultNote fault={covers.value.fault} />}
          <MapFrame project={project} />
          <StreetPanel />
          <AssignPanel />
          <CoverTable />
        </div>
        {open && <CardPanel id={open} />}
      </div>
    </div>
  );
}

/** A stale plan stays as it is until a new one replaces it; a project without one says what it waits for. */
function PlanState({ project }: { project: Project }) {
  if (project.planRevision === 0) {
    return (
      <p class="stale-strip">
        <b>Not planned yet.</b> Add shots to see what to raise, then plan.{' '}
        <button type="button" class="link" onClick={() => show({ page: 'surveys' })}>
          Add files
        </button>
      </p>
    );
  }
  if (!project.planStale) return null;
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
  const isReady = useFirstRows() && bounds !== null && !basemap.value.loading;
  return (
    <section class="map" aria-label="Map">
      {failed && <p class="no-rows">The map could not be loaded. The table below holds the same covers.</p>}
      <MapNote />
      {code && isReady && <code.StreetMap project={project} bounds={bounds} />}
    </section>
  );
}

/** Making a map holds the page up for a moment: the table's first rows are painted before, where they come soon. */
function useFirstRows(): boolean {
  const [isOver, setOver] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setOver(true), patienceMs);
    return () => clearTimeout(timer);
  }, []);
  const { items, isLoading, fault } = rows.value;
  const isHere = items.length > 0 || !isLoading || fault !== null;
  useEffect(() => {
    if (!isHere) return;
    let task: ReturnType<typeof setTimeout> | undefined;
    // A task of its own after the next frame, so that the one with the rows in it is shown first.
    let frame = requestAnimationFrame(() => {
      frame = requestAnimationFrame(() => {
        task = setTimeout(() => setOver(true));
      });
    });
    return () => {
      cancelAnimationFrame(frame);
      clearTimeout(task);
    };
  }, [isHere]);
  return isOver;
}

const patienceMs = 700;

/** What the picture lacks; the covers themselves are drawn all the same. */
function MapNote() {
  const lacking = [
    { what: 'basemap', fault: basemap.value.fault },
    { what: 'streets', fault: streets.value.fault },
    { what: 'covers on the map', fault: mapFault.value },
  ].filter(({ fault }) => fault !== null);
  if (lacking.length === 0) return null;
  return (
    <p class="map-note" role="alert">
      {lacking.map(({ what, fault }) => `The ${what} could not be loaded: ${fault?.message}`).join(' ')}
    </p>
  );
}
