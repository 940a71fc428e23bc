import { scaleFrom } from '#core/drawing/scale.ts';
import { proudOrLow } from '#core/units/format.ts';
import { nominal, type Units } from '../units.ts';
import { doubtShort } from '../words.ts';
import { useWidth } from './width.ts';

interface Props {
  /** Rim error where it is farthest from grade, metres, + = proud; null = no stack, only what the survey eats. */
  worst: number | null;
  twoSigma: number;
  tolerance: number;
  units: Units;
}

/** Worst rim error with its 2 sigma, against the tolerance each side of the finished grade. */
export function ToleranceRuler({ worst: known, twoSigma, tolerance, units }: Props) {
  const { ref, width } = useWidth(480);
  const worst = known ?? 0;
  const reach = Math.max(tolerance, Math.min(Math.abs(worst) + twoSigma, 4 * tolerance)) * 1.04;
  const x = scaleFrom([-reach, reach], [14, width - 14]);
  const inside = (value: number) => Math.max(2, Math.min(width - 2, x(value)));
  const [low, high] = [inside(worst - twoSigma), inside(worst + twoSigma)];
  const survey = twoSigma === 0 ? "survey's allowance off" : `survey ${doubtShort(twoSigma, units)}`;
  const said = `${known === null ? 'No stack yet' : `Worst rim error ${proudOrLow(known, units.small)}`}, ${survey}${twoSigma === 0 ? '' : ' (2 sigma)'}, tolerance ${nominal(tolerance, units)} each way.`;
  const isWide = width > 430;
  const isNarrow = x(tolerance) - x(-tolerance) < 240;
  const isBeside = isWide && known !== null && high - low < width * 0.6;
  const textOnRight = worst <= 0;
  return (
    <div ref={ref}>
      <svg width={width} height={72} role="img" aria-label={said}>
        <rect x={x(-tolerance)} y={8} width={x(tolerance) - x(-tolerance)} height={38} fill="var(--tol)" />
        {[-tolerance, tolerance].map((edge) => (
          <path key={edge} d={`M${x(edge)} 4V50`} stroke="var(--grade)" stroke-dasharray="2 3" />
        ))}
        <path d={`M${x(0)} 2V52`} stroke="var(--grade)" stroke-width="2.5" />
        <path
          d={`M${low} 27H${high}M${low} 19V35M${high} 19V35`}
          stroke="var(--ink)"
          stroke-width="2"
          fill="none"
        />
        {known === null ? (
          <text x={x(0) + 8} y={20} class="bold halo">
            {survey}
          </text>
        ) : (
          <circle cx={inside(worst)} cy={27} r={5} fill="var(--ink)" />
        )}
        {isBeside && (
          <text
            x={textOnRight ? Math.max(high, x(0)) + 12 : Math.min(low, x(0)) - 12}
            y={31}
            text-anchor={textOnRight ? 'start' : 'end'}
          >
            worst <tspan class="bold">{proudOrLow(worst, units.small)}</tspan>
          </text>
        )}
        <text x={x(-tolerance)} y={64} text-anchor={isNarrow ? 'end' : 'start'} class="soft">
          {nominal(tolerance, units)} low
        </text>
        <text x={x(0)} y={64} text-anchor="middle" class="bold said">
          {isNarrow && x(tolerance) - x(-tolerance) < 100 ? 'grade' : 'finished grade'}
        </text>
        <text x={x(tolerance)} y={64} text-anchor={isNarrow ? 'start' : 'end'} class="soft">
          {nominal(tolerance, units)} proud
        </text>
      </svg>
    </div>
  );
}
