import { scaleFrom } from '#core/drawing/scale.ts';
import { useWidth } from '../../../drawings/width.ts';
import { lastReading, type Run, secondsOf } from './run.ts';

interface Props {
  run: Run | null;
  now: number;
  startInHg: number;
  endInHg: number;
  requiredSeconds: number | null;
}

const height = 176;
const margin = { left: 40, right: 14, top: 16, bottom: 28 };

/** The gauge against time: it has to stay above the dashed line until the upright one. */
export function Drop({ run, now, startInHg, endInHg, requiredSeconds }: Props) {
  const { ref, width } = useWidth(362);
  const seconds = run ? secondsOf(run, now) : 0;
  const readings = run?.readings ?? [];
  const top = Math.max(startInHg, ...readings.map(({ inHg }) => inHg));
  const bottom = Math.min(endInHg - (startInHg - endInHg) * 0.3, ...readings.map(({ inHg }) => inHg));
  const x = scaleFrom(
    [0, Math.max((requiredSeconds ?? 60) * 1.12, seconds)],
    [margin.left, width - margin.right],
  );
  const y = scaleFrom([bottom, top], [height - margin.bottom, margin.top]);
  const points = readings.map(({ at, inHg }) => `${x((at - run!.startedAt) / 1000)} ${y(inHg)}`);
  const last = run ? lastReading(run) : null;
  return (
    <div ref={ref}>
      <svg
        width={width}
        height={height}
        role="img"
        aria-label={`Gauge from ${startInHg} inHg; it has to stay above ${endInHg}${requiredSeconds === null ? '' : ` for ${requiredSeconds} seconds`}.`}
      >
        <rect
          x={margin.left}
          y={y(top)}
          width={x(requiredSeconds ?? 60) - margin.left}
          height={y(endInHg) - y(top)}
          fill="var(--map)"
        />
        <path
          d={`M${margin.left} ${y(endInHg)}H${width - margin.right}`}
          stroke="var(--ink)"
          stroke-width="2"
          stroke-dasharray="7 5"
        />
        {requiredSeconds !== null && (
          <path
            d={`M${x(requiredSeconds)} ${margin.top - 8}V${height - margin.bottom}`}
            stroke="var(--ink)"
            stroke-width="2.5"
          />
        )}
        <text x={margin.left - 8} y={y(startInHg) + 6} text-anchor="end" class="bold">
          {startInHg}
        </text>
        <text x={margin.left - 8} y={y(endInHg) + 6} text-anchor="end" class="bold">
          {endInHg}
        </text>
        <text x={margin.left + 8} y={y(endInHg) - 7}>
          stay above {endInHg} inHg
        </text>
        <text x={margin.left} y={height - 6} text-anchor="middle">
          0
        </text>
        {requiredSeconds !== null && (
          <text x={x(requiredSeconds)} y={height - 6} text-anchor="middle" class="bold">
            {requiredSeconds} s
          </text>
        )}
        {last !== null && (
          <>
            <path
              d={`M${points.join('L')}L${x(seconds)} ${y(last)}`}
              fill="none"
              stroke="var(--ink)"
              stroke-width="4"
              stroke-linejoin="round"
            />
            <circle cx={x(seconds)} cy={y(last)} r="7" fill="var(--ink)" />
          </>
        )}
      </svg>
    </div>
  );
}
