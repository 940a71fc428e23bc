import { roundStep } from '#core/drawing/scale.ts';
import { fixed } from '#core/units/format.ts';
import { fromMetres } from '#core/units/length.ts';
import type { StreetCollection } from '#shared/street.ts';
import { type Flat, type Frame, farFrom, flatFrom, type LonLat, middleOf, windOf } from '../imports/frame.ts';
import { useWidth } from './width.ts';

interface Props {
  frame: Frame;
  /** Where the file's positions land, read this way. */
  places: readonly LonLat[];
  castings: readonly LonLat[];
  /** Castings of the project itself. */
  own: readonly LonLat[];
  streets: StreetCollection | null;
  /** West, south, east, north of the project's covers. */
  limits: readonly number[] | null;
  unit: 'ft' | 'm';
}

const height = 172;
const mostCastings = 600;

/** Positions of a file as one reading lays them on the streets; every choice of a question is drawn in one frame. */
export function ReadingMap(props: Props) {
  const { frame, places, streets, limits, unit } = props;
  const { ref, width } = useWidth(280);
  const scale = (frame.isClose ? Math.min(width, height * 1.6) : height) / frame.width;
  const flat = flatFrom(frame.origin);
  const pen = (at: LonLat): Flat => {
    const [east, north] = flat(at);
    return [width / 2 + (east - frame.centre[0]) * scale, height / 2 - (north - frame.centre[1]) * scale];
  };
  const isInside = ([x, y]: Flat) => x > -8 && y > -8 && x < width + 8 && y < height + 8;
  const arm = frame.isClose ? 5 : 2.2;
  const points = places.map(pen).filter(isInside);
  // Far out, only the project's own are few enough to be told apart.
  const rings = (frame.isClose ? props.castings : props.own).map(pen).filter(isInside).slice(0, mostCastings);
  return (
    <div ref={ref} class="reading-map">
      <svg width={width} height={height} aria-hidden="true">
        <rect width={width} height={height} fill="var(--map)" />
        {streets?.features.map(({ id, geometry, properties }) => (
          <path
            key={id}
            d={linePath(geometry.coordinates as unknown as LonLat[], pen)}
            stroke="var(--street)"
            stroke-width={Math.max(3, (properties.widthM ?? 9) * scale)}
            stroke-linejoin="round"
            fill="none"
          />
        ))}
        {limits && !frame.isClose && <Limits limits={limits} pen={pen} />}
        {points.length > 0 && <Castings at={rings} isClose={frame.isClose} />}
        <path
          d={points.map(([x, y]) => `M${x - arm} ${y}h${2 * arm}M${x} ${y - arm}v${2 * arm}`).join('')}
          stroke="var(--focus)"
          stroke-width={frame.isClose ? 2.4 : 1.4}
        />
        {points.length === 0 && <Elsewhere frame={frame} places={places} width={width} unit={unit} />}
        <ScaleBar scale={scale} unit={unit} />
      </svg>
    </div>
  );
}

function linePath(line: readonly LonLat[], pen: (at: LonLat) => Flat): string {
  return line.map((at, index) => `${index === 0 ? 'M' : 'L'}${pen(at).join(' ')}`).join('');
}

function Castings({ at, isClose }: { at: readonly Flat[]; isClose: boolean }) {
  const path = at.map(([x, y]) => `M${x} ${y}h0`).join('');
  return (
    <g stroke-linecap="round">
      <path d={path} stroke="var(--ink)" stroke-width={isClose ? 19 : 3.6} />
      {isClose && <path d={path} stroke="var(--white)" stroke-width="15" />}
    </g>
  );
}

/** A hairline round the project's covers. */
function Limits({ limits, pen }: { limits: readonly number[]; pen: (at: LonLat) => Flat }) {
  const [left, bottom] = pen([limits[0], limits[1]]);
  const [right, top] = pen([limits[2], limits[3]]);
  const room = 7;
  return (
    <rect
      x={left - room}
      y={top - room}
      width={right - left + 2 * room}
      height={bottom - top + 2 * room}
      fill="none"
      stroke="var(--ink)"
      stroke-dasharray="3 3"
    />
  );
}

/** `1,204 km northwest of here`, `0.8 ft`: as exact as people can use it. */
export function distanceWords(metres: number, unit: 'ft' | 'm'): string {
  if (unit === 'm') {
    if (metres >= 2000) return `${Math.round(metres / 1000).toLocaleString('en-US')} km`;
    return metres >= 10 ? `${Math.round(metres)} m` : `${fixed(metres, 2)} m`;
  }
  const feet = fromMetres(metres, 'ft');
  if (feet >= 10_560) return `${Math.round(feet / 5280).toLocaleString('en-US')} miles`;
  return feet >= 10 ? `${Math.round(feet).toLocaleString('en-US')} ft` : `${fixed(feet, 1)} ft`;
}

export function elsewhereWords(frame: Frame, places: readonly LonLat[], unit: 'ft' | 'm'): string {
  const middle = middleOf(places);
  if (!middle) return 'nowhere on Earth';
  const { distance, azimuth } = farFrom(frame.origin, middle);
  return `${distanceWords(distance, unit)} ${windOf(azimuth)}`;
}

/** An arrow where nothing of the file is in the picture. */
function Elsewhere({
  frame,
  places,
  width,
  unit,
}: {
  frame: Frame;
  places: readonly LonLat[];
  width: number;
  unit: 'ft' | 'm';
}) {
  const middle = middleOf(places);
  const turn = middle ? farFrom(frame.origin, middle).azimuth : 0;
  return (
    <g transform={`translate(${width / 2} ${height / 2})`}>
      {middle && (
        <g transform={`rotate(${turn})`}>
          <path d="M0 -26V-62M-7 -54 0 -63 7 -54" fill="none" stroke="var(--focus)" stroke-width="2.5" />
        </g>
      )}
      <text text-anchor="middle" y="34" class="bold halo-map">
        {elsewhereWords(frame, places, unit)}
      </text>
    </g>
  );
}

function ScaleBar({ scale, unit }: { scale: number; unit: 'ft' | 'm' }) {
  const perUnit = unit === 'ft' ? scale * 0.3048 : scale;
  const size = roundStep(80 / perUnit, 1.6);
  const length = size * perUnit;
  return (
    <g transform={`translate(12 ${height - 12})`}>
      <path d={`M0 -6V0H${length}V-6`} fill="none" stroke="var(--ink)" stroke-width="1.4" />
      <text x={length + 6} y="0" class="halo-map">
        {`${size.toLocaleString('en-US')} ${unit}`}
      </text>
    </g>
  );
}
