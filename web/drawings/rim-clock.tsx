import { useId } from 'preact/hooks';
import { type RimError, rimRound, worstOf } from '#core/drawing/rim.ts';
import { scaleFrom } from '#core/drawing/scale.ts';
import { clockText } from '#core/units/clock.ts';
import { proudOrLow } from '#core/units/format.ts';
import { nominal, nominalSize, signed, type Units } from '../units.ts';
import { useWidth } from './width.ts';

interface Props {
  rim: RimError;
  /** Azimuth of 12 o'clock, radians. */
  bearing: number;
  twoSigma: number;
  /** How far the rim may stand out. */
  tolerance: number;
  /** How far it may lie below; default: as far. */
  low?: number;
  units: Units;
  hasStation: boolean;
}

const height = 132;
const margin = { left: 40, right: 8, top: 14, bottom: 26 };

/** Rim error all round the clock with its 2 sigma ribbon, against the tolerance band. */
export function RimClock({ rim, bearing, twoSigma, tolerance, low = tolerance, units, hasStation }: Props) {
  const frame = useId();
  const { ref, width } = useWidth(290);
  const points = rimRound(rim, bearing);
  const worst = worstOf(rim, bearing);
  const most = Math.max(tolerance, low, 1e-3);
  const reach = Math.max(most * 1.25, Math.min(3 * most, Math.abs(worst.error) + twoSigma) * 1.1);
  const x = scaleFrom([0, 12], [margin.left, width - margin.right]);
  const y = scaleFrom([-reach, reach], [height - margin.bottom, margin.top]);
  const line = (shift: number) =>
    points.map(({ hour, error }) => `${x(hour).toFixed(1)} ${y(error + shift).toFixed(1)}`);
  const ribbon = `M${line(twoSigma).join('L')}L${line(-twoSigma).reverse().join('L')}Z`;
  const hour = Math.round(worst.hour * 2) / 2 || 12;
  const where = hasStation ? `${clockText(hour)}` : `${Math.round(worst.hour * 30)}° from grid north`;
  const [wx, wy] = [x(worst.hour), y(worst.error)];
  const isLate = wx > width * 0.62;
  return (
    <div ref={ref}>
      <svg
        width={width}
        height={height}
        role="img"
        aria-label={`Rim round the clock: worst ${proudOrLow(worst.error, units.small)} at ${where}.`}
      >
        <clipPath id={frame}>
          <rect
            x={margin.left}
            y={margin.top - 6}
            width={width - margin.left - margin.right}
            height={height - margin.top - margin.bottom + 12}
          />
        </clipPath>
        <rect
          x={margin.left}
          y={y(tolerance)}
          width={width - margin.left - margin.right}
          height={y(-low) - y(tolerance)}
          fill="var(--tol)"
        />
        {[tolerance, -low].map((edge) => (
          <path
            key={edge}
            d={`M${margin.left} ${y(edge)}H${width - margin.right}`}
            stroke="var(--grade)"
            stroke-dasharray="2 3"
          />
        ))}
        <g clip-path={`url(#${frame})`}>
          <path d={ribbon} fill="var(--ink)" opacity="0.16" />
          <path
            d={`M${margin.left} ${y(0)}H${width - margin.right}`}
            stroke="var(--grade)"
            stroke-width="2"
          />
          <path d={`M${line(0).join('L')}`} stroke="var(--ink)" stroke-width="2" fill="none" />
          <circle cx={wx} cy={wy} r={4} fill="var(--ink)" />
        </g>
        <text
          x={wx + (isLate ? -8 : 8)}
          y={worst.error > 0 ? Math.max(11, wy - 8) : Math.min(height - margin.bottom + 1, wy + 16)}
          text-anchor={isLate ? 'end' : 'start'}
          class="bold"
        >
          {signed(worst.error, units)} at {hasStation ? clockText(hour).replace(' o’clock', '') : where}
        </text>
        {tolerance > 0 && (
          <text x={margin.left - 8} y={y(tolerance) + 4} text-anchor="end" class="soft">
            +{nominalSize(tolerance, units.smallUnit)}
          </text>
        )}
        <text x={margin.left - 8} y={y(0) + 4} text-anchor="end" class="bold said">
          0
        </text>
        {low > 0 && (
          <text x={margin.left - 8} y={y(-low) + 4} text-anchor="end" class="soft">
            −{nominalSize(low, units.smallUnit)}
          </text>
        )}
        {[0, 3, 6, 9, 12].map((tick) => (
          <text
            key={tick}
            x={x(tick)}
            y={height - 6}
            text-anchor={tick === 12 ? 'end' : 'middle'}
            class="soft"
          >
            {hasStation ? tick || 12 : `${['N', 'E', 'S', 'W', 'N'][tick / 3]}`}
          </text>
        ))}
        <title>
          {low === tolerance
            ? `Tolerance ${nominal(tolerance, units)} each way`
            : `Tolerance ${nominal(tolerance, units)} proud, ${nominal(low, units)} low`}
        </title>
      </svg>
    </div>
  );
}
