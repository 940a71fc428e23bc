import { scaleFrom, ticksOf } from '#core/drawing/scale.ts';
import { formatElevation } from '#core/units/format.ts';
import { fromMetres, toMetres } from '#core/units/length.ts';
import type { RimRecord } from '#shared/rim-record.ts';
import type { Units } from '../units.ts';
import { useWidth } from './width.ts';

interface Props {
  /** In the order of their days. */
  records: readonly Pick<RimRecord, 'date' | 'rimElevationM' | 'pavementElevationM'>[];
  units: Units;
}

const height = 150;
const margin = { top: 20, right: 78, bottom: 26, left: 62 };
const dayMs = 86_400_000;
/** Less than this is not drawn larger: a rim that stood still is to look so. */
const leastSpanM = 0.03;

const timeOf = (date: string) => Date.parse(`${date}T00:00:00Z`);

/** Rim and the pavement beside it by date: the rim in steps, since it stays where it was set until it is moved. */
export function RimYears({ records, units }: Props) {
  const { ref, width } = useWidth(480);
  const times = records.map(({ date }) => timeOf(date));
  const [first, last] = [times[0], times[times.length - 1]];
  // A single day has a year drawn about it, so that its date can be read.
  const room = last > first ? 0 : 180 * dayMs;
  const x = scaleFrom([first - room, last + room], [margin.left, width - margin.right]);
  const heights = records.flatMap(({ rimElevationM, pavementElevationM }) =>
    pavementElevationM === null ? [rimElevationM] : [rimElevationM, pavementElevationM],
  );
  const [least, most] = [Math.min(...heights), Math.max(...heights)];
  const spare = Math.max(0, leastSpanM - (most - least)) / 2 + (most - least) * 0.08;
  const y = scaleFrom([least - spare, most + spare], [height - margin.bottom, margin.top]);
  const rims = records.map(({ rimElevationM }, at) => ({ x: x(times[at]), y: y(rimElevationM) }));
  const pavements = records.flatMap(({ pavementElevationM }, at) =>
    pavementElevationM === null ? [] : [{ x: x(times[at]), y: y(pavementElevationM) }],
  );
  const steps = rims
    .map((point, at) => (at === 0 ? `M${point.x} ${point.y}` : `H${point.x}V${point.y}`))
    .join('');
  const lastRim = rims[rims.length - 1];
  const lastPavement = pavements.at(-1);
  const [rimLabel, pavementLabel] = apart(lastRim.y, lastPavement?.y ?? null);
  return (
    <div ref={ref}>
      <svg width={width} height={height} role="img" aria-label={sayRecords(records, units)}>
        <HeightTicks low={least - spare} high={most + spare} y={y} width={width} units={units} />
        {pavements.length > 1 && (
          <path
            d={`M${pavements.map((point) => `${point.x} ${point.y}`).join('L')}`}
            stroke="var(--ink2)"
            stroke-width="1.6"
            stroke-dasharray="5 4"
            fill="none"
          />
        )}
        {pavements.map((point) => (
          <rect
            key={point.x}
            x={point.x - 3.5}
            y={point.y - 3.5}
            width="7"
            height="7"
            fill="var(--white)"
            stroke="var(--ink2)"
            stroke-width="1.6"
          />
        ))}
        <path d={steps} stroke="var(--ink)" stroke-width="2" fill="none" />
        {rims.map((point) => (
          <circle key={`${point.x} ${point.y}`} cx={point.x} cy={point.y} r="4" fill="var(--ink)" />
        ))}
        <text x={lastRim.x + 9} y={rimLabel + 4} class="bold halo">
          rim
        </text>
        {lastPavement && (
          <text x={lastPavement.x + 9} y={pavementLabel + 4} class="soft halo">
            pavement
          </text>
        )}
        <Days times={times} x={x} />
      </svg>
    </div>
  );
}

/** Two labels at one end, far enough apart to be read. */
function apart(rim: number, pavement: number | null): [number, number] {
  if (pavement === null || Math.abs(rim - pavement) >= 15) return [rim, pavement ?? rim];
  const middle = (rim + pavement) / 2;
  return rim <= pavement ? [middle - 7.5, middle + 7.5] : [middle + 7.5, middle - 7.5];
}

interface TickProps {
  low: number;
  high: number;
  y: (value: number) => number;
  width: number;
  units: Units;
}

function HeightTicks({ low, high, y, width, units }: TickProps) {
  const unit = units.elevation;
  const ticks = ticksOf(fromMetres(low, unit), fromMetres(high, unit), 3);
  return (
    <g>
      {ticks.map((tick) => (
        <g key={tick}>
          <path
            d={`M${margin.left - 4} ${y(toMetres(tick, unit))}H${width - margin.right}`}
            stroke="var(--line)"
          />
          <text x={margin.left - 8} y={y(toMetres(tick, unit)) + 4} text-anchor="end" class="soft">
            {formatElevation(toMetres(tick, unit), unit, 2)}
          </text>
        </g>
      ))}
    </g>
  );
}

const month = new Intl.DateTimeFormat('en-GB', { month: 'short', year: 'numeric', timeZone: 'UTC' });

/** Dates of the records, as many as fit without touching; the last one always. */
function Days({ times, x }: { times: number[]; x: (value: number) => number }) {
  const shown: number[] = [];
  for (const time of [...new Set(times)].reverse())
    if (shown.length === 0 || x(shown[shown.length - 1]) - x(time) > 66) shown.push(time);
  return (
    <g>
      {shown.map((time) => (
        <text key={time} x={x(time)} y={height - 6} text-anchor="middle" class="soft">
          {month.format(time)}
        </text>
      ))}
    </g>
  );
}

function sayRecords(records: Props['records'], { elevation }: Units): string {
  const { date, rimElevationM, pavementElevationM } = records[records.length - 1];
  const count = records.length === 1 ? '1 record' : `${records.length} records`;
  const beside =
    pavementElevationM === null
      ? ''
      : `, pavement beside it ${formatElevation(pavementElevationM, elevation)}`;
  return `Rim by date, ${count}: on ${date} at ${formatElevation(rimElevationM, elevation)}${beside}.`;
}
