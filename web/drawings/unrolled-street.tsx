import { scaleFrom, ticksOf } from '#core/drawing/scale.ts';
import { counted } from '#core/units/count.ts';
import { formatStation } from '#core/units/format.ts';
import { metresPer } from '#core/units/length.ts';
import { StatusSymbol } from '../symbols/status-symbol.tsx';
import type { Units } from '../units.ts';
import { errorReach, type StreetCover, stationSpan } from './unrolled-scale.ts';
import { useWidth } from './width.ts';

interface Props {
  street: string;
  covers: StreetCover[];
  isShown: (id: string) => boolean;
  selected: string | null;
  units: Units;
  onOpen: (id: string) => void;
}

const height = 134;
const plot = { left: 66, right: 14, unknown: 9, top: 30, bottom: 108 };

/** Station along, rim today minus finished grade up and down: grade is straight, so the work sticks out. */
export function UnrolledStreet({ street, covers, isShown, selected, units, onOpen }: Props) {
  const { ref, width } = useWidth(800);
  const unit = metresPer[units.smallUnit];
  const reach = errorReach(covers, unit);
  const span = stationSpan(covers);
  const x = scaleFrom(span, [plot.left + 8, width - plot.right]);
  const y = scaleFrom([-reach, reach], [plot.bottom, plot.top]);
  const heightOf = ({ rimError }: StreetCover) => (rimError === null ? plot.unknown : y(rimError / unit));
  const unknown = covers.filter(({ rimError }) => rimError === null).length;
  const order = [...covers].sort((a, b) => rankOf(a, selected) - rankOf(b, selected));
  const openNearest = (event: MouseEvent) => {
    const box = (event.currentTarget as Element).getBoundingClientRect();
    const from = (cover: StreetCover) =>
      Math.hypot(x(cover.station) - (event.clientX - box.left), heightOf(cover) - (event.clientY - box.top));
    const nearest = [...covers].sort((a, b) => from(a) - from(b))[0];
    if (nearest && from(nearest) < 24) onOpen(nearest.row.id);
  };
  return (
    <div ref={ref}>
      {/* biome-ignore lint/a11y/useKeyWithClickEvents: the table under the drawing opens the same covers by keyboard. */}
      <svg
        class="unrolled"
        width={width}
        height={height}
        role="img"
        aria-label={`${street}: ${counted(covers.length, 'cover')} along the street, rim today against finished grade within ${reach} ${units.smallUnit}; ${unknown} not known.`}
        onClick={openNearest}
      >
        {unknown > 0 && (
          <text x={plot.left - 6} y={plot.unknown + 4} text-anchor="end" class="soft">
            unknown
          </text>
        )}
        <Axis x={x} y={y} span={span} reach={reach} width={width} units={units} />
        {order.map((cover) => (
          <Stem
            key={cover.row.id}
            cover={cover}
            at={[x(cover.station), heightOf(cover)]}
            grade={y(0)}
            isOpen={cover.row.id === selected}
            isFaded={!isShown(cover.row.id)}
          />
        ))}
      </svg>
    </div>
  );
}

/** The open cover is drawn last, a plated one over its neighbours. */
const rankOf = ({ row }: StreetCover, selected: string | null) =>
  row.id === selected ? 2 : (row.status as string) === 'plated' ? 1 : 0;

interface StemProps {
  cover: StreetCover;
  at: readonly [x: number, y: number];
  grade: number;
  isOpen: boolean;
  isFaded: boolean;
}

function Stem({ cover, at, grade, isOpen, isFaded }: StemProps) {
  return (
    <g class="fade" opacity={isFaded && !isOpen ? 0.16 : 1}>
      {cover.rimError !== null && (
        <path
          d={`M${at[0]} ${grade}V${at[1]}`}
          stroke={isOpen ? 'var(--ink)' : 'var(--line2)'}
          stroke-width={isOpen ? 2 : 1}
        />
      )}
      {isOpen && (
        <circle cx={at[0]} cy={at[1]} r={11} fill="var(--white)" stroke="var(--ink)" stroke-width="2" />
      )}
      {cover.row.status && <StatusSymbol status={cover.row.status} size={isOpen ? 15 : 12} at={at} />}
      <title>{cover.row.id}</title>
    </g>
  );
}

interface AxisProps {
  x: (station: number) => number;
  y: (value: number) => number;
  span: [number, number];
  reach: number;
  width: number;
  units: Units;
}

function Axis({ x, y, span, reach, width, units }: AxisProps) {
  const unit = metresPer[units.elevation];
  const stations = ticksOf(span[0] / unit, span[1] / unit, Math.max(2, Math.floor(width / 110)));
  return (
    <g>
      <path d={`M${plot.left} ${y(0)}H${width}`} stroke="var(--grade)" stroke-width="2.5" />
      <text x={plot.left - 6} y={y(0) + 4} text-anchor="end" class="bold said">
        grade
      </text>
      <text x={plot.left - 6} y={y(reach) + 4} text-anchor="end" class="soft">
        +{reach} {units.smallUnit}
      </text>
      <text x={plot.left - 6} y={y(-reach) + 4} text-anchor="end" class="soft">
        −{reach}
      </text>
      {stations.map((station) => (
        <text key={station} x={x(station * unit)} y={height - 6} text-anchor="middle" class="soft">
          {formatStation(station * unit, units.elevation).replace(/\.0$/, '')}
        </text>
      ))}
    </g>
  );
}
