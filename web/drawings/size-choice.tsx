import { metresPer } from '#core/units/length.ts';
import { useWidth } from './width.ts';

interface Props {
  /** Height of a frame, or a diameter or depth, read in one unit, metres. */
  metres: number;
  what: 'frame' | 'across' | 'deep';
  /** Longest length that fits the picture, metres: one for all choices, so that they are at one scale. */
  longest: number;
}

const height = 120;
const ground = height - 18;
const person = 1.75;

/** A size as one unit would have it, all choices at one scale: a frame beside its cover, a width, or a depth. */
export function SizeChoice({ metres, what, longest }: Props) {
  const { ref, width } = useWidth(170);
  const scale = Math.min((height - 34) / longest, (width - 24) / Math.max(longest, 24 * metresPer.in * 1.35));
  return (
    <div ref={ref} class="size-choice">
      <svg width={width} height={height} aria-hidden="true">
        {what === 'frame' && <FrameOf high={metres * scale} scale={scale} middle={width / 2} />}
        {what === 'across' && <Bar length={metres * scale} width={width} />}
        {what === 'deep' && <Depth deep={metres * scale} scale={scale} width={width} />}
      </svg>
    </div>
  );
}

/** A frame for a 24 in cover, cut open; what is higher than the picture is broken off with a mark. */
function FrameOf({ high, scale, middle }: { high: number; scale: number; middle: number }) {
  const half = 12 * metresPer.in * scale;
  const wall = Math.max(2.5, half * 0.1);
  const shown = Math.min(high, ground - 8);
  const top = ground - shown;
  const isCut = shown < high;
  const side = (x: number) => `M${x - wall / 2} ${ground}V${top}h${wall}V${ground}z`;
  return (
    <g>
      <path
        d={`M${middle - half * 1.3} ${ground}H${middle + half * 1.3}`}
        stroke="var(--line2)"
        stroke-dasharray="4 3"
      />
      <path d={`${side(middle - half)}${side(middle + half)}`} fill="#3a4644" />
      <path
        d={`M${middle - half * 1.3} ${ground}h${half * 0.35}v${-Math.min(3, Math.max(1, shown))}h${-half * 0.35}zM${middle + half * 1.3} ${ground}h${-half * 0.35}v${-Math.min(3, Math.max(1, shown))}h${half * 0.35}z`}
        fill="#3a4644"
      />
      {!isCut && (
        <rect
          x={middle - half + wall / 2}
          y={top}
          width={2 * half - wall}
          height={Math.max(1.5, Math.min(7, shown * 0.4))}
          fill="#7d8a86"
        />
      )}
      {isCut && <BreakMark x={middle - half - 8} width={2 * half + 16} y={top + 10} />}
    </g>
  );
}

function BreakMark({ x, width, y }: { x: number; width: number; y: number }) {
  const teeth = Math.max(2, Math.round(width / 12));
  const step = width / teeth;
  const path = Array.from(
    { length: teeth },
    (_, i) => `L${x + (i + 0.5) * step} ${y - 6}L${x + (i + 1) * step} ${y}`,
  );
  return <path d={`M${x} ${y}${path.join('')}`} fill="none" stroke="var(--white)" stroke-width="3" />;
}

function Bar({ length, width }: { length: number; width: number }) {
  const shown = Math.min(length, width - 12);
  const [left, right] = [(width - shown) / 2, (width + shown) / 2];
  const isCut = shown < length;
  return (
    <g>
      <rect
        x={left}
        y={ground - 26}
        width={Math.max(1.5, shown)}
        height="14"
        fill="#7d8a86"
        stroke="var(--ink)"
      />
      <path
        d={`M${left} ${ground - 4}v-6M${left} ${ground - 7}H${right}M${right} ${ground - 4}v-6`}
        stroke="var(--ink)"
      />
      {isCut && (
        <path
          d={`M${right - 16} ${ground - 30}l8 22M${right - 10} ${ground - 30}l8 22`}
          stroke="var(--white)"
          stroke-width="3"
        />
      )}
    </g>
  );
}

/** A shaft beside a person 1.75 m tall. */
function Depth({ deep, scale, width }: { deep: number; scale: number; width: number }) {
  const top = 30;
  const shown = Math.min(deep, height - top - 4);
  const [x, half] = [width / 2, Math.max(6, 0.6 * scale)];
  const tall = Math.min(top - 4, person * scale);
  return (
    <g>
      <path d={`M8 ${top}H${width - 8}`} stroke="var(--ink)" />
      <rect
        x={x - half}
        y={top}
        width={2 * half}
        height={Math.max(1, shown)}
        fill="var(--street)"
        stroke="var(--ink)"
      />
      {shown < deep && <BreakMark x={x - half - 6} width={2 * half + 12} y={height - 12} />}
      <path
        d={`M${x + half + 16} ${top}v${-tall}`}
        stroke="var(--ink)"
        stroke-width={Math.max(2, tall * 0.25)}
        stroke-linecap="round"
      />
    </g>
  );
}
