import { scaleFrom } from '#core/drawing/scale.ts';
import type { StreetRemaining } from '#shared/plots.ts';
import { useWidth } from './width.ts';

interface Props {
  row: StreetRemaining;
  /** Least and greatest raise left over all streets, metres; 0 lies between them. */
  span: readonly [number, number];
}

const height = 28;
const inset = 6;

/** Raise left along a street: from the least to the greatest, the middle half as a box, the median as a tick. */
export function StreetRange({ row, span }: Props) {
  const { ref, width } = useWidth(400);
  const x = scaleFrom(span, [inset, width - inset]);
  const { leastM, lowerQuartileM, medianM, upperQuartileM, greatestM } = row;
  const middle = height / 2;
  return (
    <div ref={ref} class="range">
      <svg width={width} height={height} aria-hidden="true">
        {span[0] < 0 && <rect x={0} y={0} width={x(0)} height={height} fill="url(#past-limit)" />}
        <path d={`M${x(0)} 0V${height}`} stroke="var(--ink)" stroke-width="2" />
        {medianM !== null && (
          <g>
            <path
              d={`M${x(leastM!)} ${middle}H${x(greatestM!)}M${x(leastM!)} ${middle - 4}v8M${x(greatestM!)} ${middle - 4}v8`}
              stroke="var(--ink)"
              stroke-width="1.4"
            />
            <rect
              x={x(lowerQuartileM!)}
              y={middle - 7}
              width={Math.max(2, x(upperQuartileM!) - x(lowerQuartileM!))}
              height={14}
              fill="var(--street)"
              stroke="var(--ink)"
            />
            <path d={`M${x(medianM)} ${middle - 9}V${middle + 9}`} stroke="var(--ink)" stroke-width="3.4" />
          </g>
        )}
      </svg>
    </div>
  );
}
