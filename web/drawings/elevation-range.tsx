import { scaleFrom } from '#core/drawing/scale.ts';
import { useWidth } from './width.ts';

interface Props {
  /** Lowest and highest of the file, read in one unit, metres. */
  file: readonly [low: number, high: number];
  /** Lowest and highest rim of the register, metres; null where none was measured. */
  rims: readonly [low: number, high: number] | null;
  /** Lowest and highest that any choice shows, metres: one scale for all. */
  span: readonly [low: number, high: number];
}

const height = 120;

/** How high the file's elevations stand beside the rims that the register knows. */
export function ElevationRange({ file, rims, span }: Props) {
  const { ref, width } = useWidth(170);
  const y = scaleFrom(span, [height - 14, 14]);
  const bar = (low: number, high: number) => ({
    y: Math.min(y(high), y(low) - 3),
    height: Math.max(3, y(low) - y(high)),
  });
  const middle = width / 2;
  return (
    <div ref={ref} class="size-choice">
      <svg width={width} height={height} aria-hidden="true">
        {rims && (
          <g>
            <rect x={10} width={width - 20} {...bar(...rims)} fill="var(--street)" />
            <text x={12} y={labelAt(y(rims[1]))} class="soft">
              rims in the register
            </text>
          </g>
        )}
        <rect x={middle - 16} width={32} {...bar(...file)} fill="var(--focus)" />
      </svg>
    </div>
  );
}

/** Above the band, or below its upper edge where the picture ends. */
const labelAt = (top: number): number => (top < 24 ? top + 26 : top - 6);
