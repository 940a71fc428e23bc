import type { Project } from '#shared/project.ts';
import { useWidth } from '../../drawings/width.ts';
import { flatFrom, type LonLat } from '../../imports/frame.ts';
import { lines, zones } from '../../imports/laid.ts';
import { covers, streets } from '../../state.ts';

const room = 14;

/** Zones and lines over the streets; only where there are some, since the desk's map shows the rest. */
export function LaidMap({ project }: { project: Project }) {
  const { ref, width } = useWidth(420);
  const bounds = project.boundsLonLat;
  const drawn = lines.value.value?.features ?? [];
  const areas = zones.value.value ?? [];
  if (!bounds || drawn.length + areas.length === 0) return null;
  const flat = flatFrom([bounds[0], bounds[1]]);
  const [across, up] = flat([bounds[2], bounds[3]]);
  const scale = Math.min((width - 2 * room) / Math.max(across, 1), (320 - 2 * room) / Math.max(up, 1));
  const height = Math.max(80, up * scale + 2 * room);
  const left = (width - across * scale) / 2;
  const pen = (at: LonLat) => {
    const [east, north] = flat(at);
    return `${(left + east * scale).toFixed(1)} ${(height - room - north * scale).toFixed(1)}`;
  };
  const path = (places: readonly (readonly number[])[]) =>
    `M${places.map((at) => pen(at as unknown as LonLat)).join('L')}`;
  return (
    <div ref={ref} class="laid-map">
      <svg
        width={width}
        height={height}
        role="img"
        aria-label="Streets with the lines and zones listed above"
      >
        <rect width={width} height={height} fill="var(--map)" />
        {streets.value.value?.features.map(({ id, geometry }) => (
          <path key={id} d={path(geometry.coordinates)} stroke="var(--street)" stroke-width="5" fill="none" />
        ))}
        {areas.map(({ id, geometry }) => (
          <path
            key={id}
            d={ringsOf(geometry)
              .map((ring) => `${path(ring)}z`)
              .join('')}
            fill="rgb(22 32 31 / 10%)"
            fill-rule="evenodd"
            stroke="var(--ink)"
            stroke-dasharray="5 3"
          />
        ))}
        {drawn.map(({ id, geometry }) => (
          <path
            key={id}
            d={path(geometry.coordinates)}
            stroke="var(--focus)"
            stroke-width="1.6"
            fill="none"
          />
        ))}
        {covers.value.value?.map(({ id, lon, lat }) => (
          <path
            key={id}
            d={`M${pen([lon, lat])}h0`}
            stroke="var(--ink)"
            stroke-width="3.4"
            stroke-linecap="round"
          />
        ))}
      </svg>
    </div>
  );
}

type Geometry = NonNullable<typeof zones.value.value>[number]['geometry'];

const ringsOf = (geometry: Geometry): number[][][] =>
  geometry.type === 'Polygon' ? geometry.coordinates : geometry.coordinates.flat();
