import { useEffect, useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { AreaChip } from '../../find/area-chip.tsx';
import { type Corner, cornersOf, outlineOfLine } from '../../grade/outline.ts';
import { keepDrawn, lines, zones } from '../../imports/laid.ts';
import { basemap, view } from '../../state.ts';
import { areaDraft, areaFault, ask, isDrawing } from '../../takeoff/asked.ts';

type MapView = typeof import('../../map/takeoff-map.tsx').default;

/** Only covers inside an area: drawn on the map, or the outline of a zone or a line that is there already. */
export function Area({ project }: { project: Project }) {
  useEffect(() => {
    keepDrawn();
    return () => {
      isDrawing.value = false;
    };
  }, [project.id, project.inputRevision]);
  const { length } = view.value.takeoff.area;
  return (
    <div class="takeoff-area">
      <div class="takeoff-filter">
        <span class="quiet">Area</span>
        <AreaChip draft={areaDraft} isDrawing={isDrawing} fault={areaFault.value} />
        <OutlineThere />
        {isDrawing.value && length < 3 && (
          <span class="quiet">From the third corner on only covers inside it are counted.</span>
        )}
      </div>
      {(isDrawing.value || length > 0) && <MapFrame project={project} />}
    </div>
  );
}

/** Outlines that were drawn or imported for something else. */
function OutlineThere() {
  const of = (kind: string, id: string, name: string, corners: Corner[] | null) =>
    corners ? [{ key: `${kind} ${id}`, word: `${kind} ${name}`, corners }] : [];
  const outlines = [
    ...(zones.value.value ?? []).flatMap(({ id, name, geometry }) =>
      of('zone', id, name, cornersOf(geometry)),
    ),
    ...(lines.value.value?.features ?? []).flatMap((line) =>
      of('line', line.id, line.properties.name, outlineOfLine(line)),
    ),
  ];
  if (outlines.length === 0) return null;
  const take = (wanted: string) => {
    const found = outlines.find(({ key }) => key === wanted);
    if (found) ask({ area: found.corners }, 'push');
  };
  return (
    <label>
      <span class="hidden">Take the outline of a zone or line</span>
      <select
        value=""
        onChange={({ currentTarget }) => {
          take(currentTarget.value);
          currentTarget.value = '';
        }}
      >
        <option value="">Outline of…</option>
        {outlines.map(({ key, word }) => (
          <option key={key} value={key}>
            {word}
          </option>
        ))}
      </select>
    </label>
  );
}

function MapFrame({ project }: { project: Project }) {
  const [code, setCode] = useState<{ TakeoffMap: MapView } | null>(null);
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    import('../../map/takeoff-map.tsx').then(
      ({ default: TakeoffMap }) => setCode({ TakeoffMap }),
      () => setFailed(true),
    );
  }, []);
  const bounds = project.boundsLonLat as [number, number, number, number] | null;
  if (!bounds) return null;
  return (
    <section class="map takeoff-map" aria-label="Map">
      {failed && <p class="no-rows">The map could not be loaded: an area cannot be drawn for now.</p>}
      {code && !basemap.value.loading && <code.TakeoffMap project={project} bounds={bounds} />}
    </section>
  );
}
