import { scaleFrom } from '#core/drawing/scale.ts';

interface Props {
  worst: number;
  twoSigma: number;
  tolerance: number;
  /** false: there is no stack, only the survey's 2 sigma. */
  isDecided?: boolean;
  width?: number;
}

/** Half the width in tolerances: the same in every row, so that rows can be compared by eye. */
export const bandReach = 1.6;

/** Worst rim error and 2 sigma on the tolerance band, small. Its words stand beside it in the table. */
export function MiniBand({ worst, twoSigma, tolerance, isDecided = true, width = 112 }: Props) {
  const x = scaleFrom([-bandReach, bandReach], [0, width]);
  const at = (value: number) => Math.max(2, Math.min(width - 2, x(value / tolerance)));
  const [low, high] = [at(worst - twoSigma), at(worst + twoSigma)];
  return (
    <svg class="band" width={width} height={16} aria-hidden="true">
      <rect x={x(-1)} y={1} width={x(1) - x(-1)} height={14} fill="var(--tol)" />
      <path d={`M${x(0)} 0V16`} stroke="var(--grade)" stroke-width="1.6" />
      <path d={`M${low} 8H${high}`} stroke="var(--ink)" stroke-width="1.8" />
      {isDecided && <Mark at={x(worst / tolerance)} width={width} />}
    </svg>
  );
}

/** A dot, or an arrow at the edge where the error lies beyond the row's scale. */
function Mark({ at, width }: { at: number; width: number }) {
  if (at >= 3 && at <= width - 3) return <circle cx={at} cy={8} r={3.2} fill="var(--ink)" />;
  const [tip, back] = at < 3 ? [0, 7] : [width, width - 7];
  return <path d={`M${tip} 8L${back} 3V13Z`} fill="var(--ink)" />;
}
