import { scaleFrom, ticksOf } from '#core/drawing/scale.ts';
import type { Bars } from '../plots/bars.ts';
import { lengthTicks } from '../plots/ticks.ts';
import { rangeWords } from '../range-words.ts';
import { type LengthRange, writeRange } from '../ranges.ts';
import { nominal, type Units } from '../units.ts';
import { BarStop, stopsOf, useStops } from './bar-stops.tsx';
import { useWidth } from './width.ts';

interface Props {
  bars: Bars;
  units: Units;
  /** Said to those who do not see it. */
  said: string;
  /** Tolerance from the finished grade at 0, metres: drawn as a band, and bars beyond it are hatched. */
  tolerance?: number;
  /** A value that is marked and named, metres. */
  mark?: { at: number; word: string } | null;
  /** Leads to the covers of a bar. */
  onBar: (range: LengthRange) => void;
}

const height = 220;
const edge = { top: 30, right: 14, bottom: 34 };
/** Width kept for what lies beyond the last bar. */
const beyondWidth = 64;
/** Above the tallest bar stands its number. */
const headroom = 1.12;

/** Covers by a length, one bar a range. What no bar shows stands beside them as a number. */
export function HistogramDrawing({ bars: drawn, units, said, tolerance, mark, onBar }: Props) {
  const { bars, below, above } = drawn;
  const { ref, width } = useWidth(560);
  const most = Math.max(1, above, ...bars.map(({ covers }) => covers));
  const margin = { ...edge, left: 18 + 7.2 * most.toLocaleString('en').length };
  const right = width - margin.right - (above > 0 ? beyondWidth : 0);
  const [low, high] = [bars[0]?.fromM ?? 0, bars.at(-1)?.toM ?? 1];
  const x = scaleFrom([low, high], [margin.left, right]);
  const y = scaleFrom([0, most * headroom], [height - margin.bottom, margin.top]);
  // Numbers stand on all bars or on none.
  const room = bars.length === 0 ? 0 : (right - margin.left) / bars.length;
  const isNumbered = room > 5 + 7 * Math.max(...bars.map(({ covers }) => covers.toLocaleString('en').length));
  const stops = stopsOf(drawn, { x, left: margin.left, right });
  const keys = useStops(stops.length);
  const isHatched = ({ fromM, toM }: Bars['bars'][number]) =>
    tolerance !== undefined && (fromM + toM) / 2 > tolerance;
  return (
    <div ref={ref} class="plot">
      {/* biome-ignore lint/a11y/useSemanticElements: a drawing has no fieldset. */}
      <svg
        ref={keys.ref}
        width={width}
        height={height}
        role="group"
        aria-label={said}
        onKeyDown={keys.onKeyDown}
      >
        <Hatch />
        {tolerance !== undefined && (
          <ToleranceBand
            x={x}
            tolerance={Math.min(tolerance, high)}
            units={units}
            isWhole={tolerance <= high}
          />
        )}
        {ticksOf(0, most, 3)
          .filter((tick) => tick > 0 && Number.isInteger(tick))
          .map((tick) => (
            <g key={tick}>
              <path d={`M${margin.left} ${y(tick)}H${right}`} stroke="var(--line)" />
              <text x={margin.left - 8} y={y(tick) + 4} text-anchor="end" class="soft">
                {tick.toLocaleString('en')}
              </text>
            </g>
          ))}
        {bars.map((bar) => (
          <BarDrawing key={bar.fromM} {...{ bar, x, y, isNumbered }} isHatched={isHatched(bar)} />
        ))}
        <path d={`M${margin.left} ${y(0)}H${right}`} stroke="var(--ink)" stroke-width="1.4" />
        {tolerance !== undefined && <GradeLine at={x(0)} />}
        {mark && <Mark at={x(mark.at)} word={mark.word} width={right} />}
        <Axis x={x} {...{ low, high, units, right }} left={margin.left} isCut={above > 0} />
        {above > 0 && (
          <Beyond
            {...{ right, width, above, y }}
            after={nominal(high, units)}
            isHatched={tolerance !== undefined}
          />
        )}
        {below > 0 && (
          <text x={margin.left} y={14} class="soft">
            {below.toLocaleString('en')} below {nominal(low, units)}
          </text>
        )}
        {stops.map(({ range, covers, left, wide, top = edge.top - 12 }, index) => (
          <BarStop
            key={writeRange(range)}
            box={{ x: left, y: top, width: wide, height: top === 0 ? 18 : height - margin.bottom - top }}
            words={`${covers.toLocaleString('en')} ${covers === 1 ? 'cover' : 'covers'}, ${rangeWords(range, units)}: list`}
            isFirst={index === keys.at}
            onOpen={() => onBar(range)}
          />
        ))}
      </svg>
    </div>
  );
}

function Hatch() {
  return (
    <defs>
      <pattern
        id="plot-hatch"
        width="6"
        height="6"
        patternUnits="userSpaceOnUse"
        patternTransform="rotate(45)"
      >
        <rect width="6" height="6" fill="var(--stop-tint)" />
        <path d="M0 0V6" stroke="var(--stop)" stroke-width="4" />
      </pattern>
    </defs>
  );
}

type Scale = (value: number) => number;

function BarDrawing({
  bar,
  x,
  y,
  isHatched,
  isNumbered,
}: {
  bar: Bars['bars'][number];
  x: Scale;
  y: Scale;
  isNumbered: boolean;
  isHatched: boolean;
}) {
  const { fromM, toM, covers } = bar;
  if (covers === 0) return null;
  const [left, wide] = [x(fromM) + 0.75, Math.max(1.5, x(toM) - x(fromM) - 1.5)];
  const top = Math.min(y(covers), y(0) - 2);
  return (
    <g>
      <rect
        x={left}
        y={top}
        width={wide}
        height={y(0) - top}
        fill={isHatched ? 'url(#plot-hatch)' : 'var(--ink2)'}
        stroke={isHatched ? 'var(--stop)' : 'none'}
      />
      {isNumbered && (
        <text x={left + wide / 2} y={top - 4} text-anchor="middle" class="bold halo">
          {covers.toLocaleString('en')}
        </text>
      )}
    </g>
  );
}

interface BandProps {
  x: Scale;
  tolerance: number;
  units: Units;
  isWhole: boolean;
}

function ToleranceBand({ x, tolerance, units, isWhole }: BandProps) {
  const bottom = height - edge.bottom;
  return (
    <g>
      <rect
        x={x(0)}
        y={edge.top - 8}
        width={x(tolerance) - x(0)}
        height={bottom - edge.top + 8}
        fill="var(--tol)"
      />
      {isWhole && (
        <path
          d={`M${x(tolerance)} ${edge.top - 10}V${bottom}`}
          stroke="var(--grade)"
          stroke-dasharray="2 3"
        />
      )}
      <text x={x(0) + 6} y={14} class="said">
        within the tolerance of {nominal(tolerance, units)}
      </text>
    </g>
  );
}

const GradeLine = ({ at }: { at: number }) => (
  <path d={`M${at} ${edge.top - 10}V${height - edge.bottom}`} stroke="var(--grade)" stroke-width="2.5" />
);

function Mark({ at, word, width }: { at: number; word: string; width: number }) {
  const isLate = at > width * 0.6;
  return (
    <g>
      <path d={`M${at} ${edge.top - 12}V${height - edge.bottom}`} stroke="var(--ink)" stroke-width="1.6" />
      <text
        x={at + (isLate ? -6 : 6)}
        y={edge.top - 16}
        text-anchor={isLate ? 'end' : 'start'}
        class="bold halo"
      >
        {word}
      </text>
    </g>
  );
}

function Axis({
  x,
  low,
  high,
  units,
  right,
  left,
  isCut,
}: {
  x: Scale;
  low: number;
  high: number;
  units: Units;
  right: number;
  left: number;
  /** Something stands behind the end, whose own words would touch a last tick. */
  isCut: boolean;
}) {
  const ticks = lengthTicks(low, high, { units, most: Math.max(2, Math.floor((right - left) / 62)) });
  return (
    <g>
      {ticks.map(({ at, text }) => (
        <g key={at}>
          <path d={`M${x(at)} ${height - edge.bottom}v5`} stroke="var(--ink)" />
          <text x={x(at)} y={height - edge.bottom + 18} text-anchor="middle" class="soft">
            {isCut && x(at) > right - 16 ? '' : text}
          </text>
        </g>
      ))}
      <text x={left} y={height - 2} class="soft">
        {units.smallUnit}
      </text>
    </g>
  );
}

interface BeyondProps {
  right: number;
  width: number;
  above: number;
  y: Scale;
  after: string;
  isHatched: boolean;
}

/** What lies beyond the last bar, as one bar of its own after a gap. */
function Beyond({ right, width, above, y, after, isHatched }: BeyondProps) {
  const [left, wide] = [right + 26, 26];
  const top = Math.min(y(above), y(0) - 2);
  return (
    <g>
      <path d={`M${right + 4} ${y(0)}h14`} stroke="var(--ink)" stroke-dasharray="3 3" />
      <rect
        x={left}
        y={top}
        width={wide}
        height={y(0) - top}
        fill={isHatched ? 'url(#plot-hatch)' : 'var(--ink2)'}
        stroke={isHatched ? 'var(--stop)' : 'none'}
      />
      <text x={left + wide / 2} y={top - 4} text-anchor="middle" class="bold">
        {above.toLocaleString('en')}
      </text>
      <text x={width - 2} y={height - edge.bottom + 18} text-anchor="end" class="soft">
        over {after}
      </text>
    </g>
  );
}
