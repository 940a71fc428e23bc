import type { LineKind } from '#shared/line.ts';
import type { SurfaceStage } from '#shared/staged-import.ts';
import { useWidth } from './width.ts';

const height = 96;

/** Layers of the road, the surface meant in blue: not to scale. */
export function StageChoice({ stage }: { stage: SurfaceStage }) {
  const { ref, width } = useWidth(150);
  const levels: Record<SurfaceStage, number> = { finished: 26, lift: 40, existing: 50, milled: 62 };
  const [left, right, cut] = [8, width - 8, width / 2];
  return (
    <div ref={ref} class="size-choice">
      <svg width={width} height={height} aria-hidden="true">
        <path
          d={`M${left} ${levels.existing}H${cut}V${levels.milled}H${right}V${height - 8}H${left}z`}
          fill="var(--street)"
        />
        <path
          d={`M${cut} ${levels.milled}V${levels.lift}H${right}M${cut} ${levels.lift}V${levels.finished}H${right}`}
          stroke="var(--line2)"
          stroke-dasharray="4 3"
          fill="none"
        />
        <path
          d={
            stage === 'existing' ? `M${left} ${levels.existing}H${cut}` : `M${cut} ${levels[stage]}H${right}`
          }
          stroke="var(--focus)"
          stroke-width="4"
        />
      </svg>
    </div>
  );
}

/** Half a street cut across, with the line meant marked; not to scale. */
export function LineChoice({ kind }: { kind: LineKind }) {
  const { ref, width } = useWidth(150);
  const at = (part: number) => 10 + part * (width - 20);
  const crown = `M${at(0)} 60L${at(0.5)} 44L${at(1)} 60`;
  const marks: Record<LineKind, [number, number][]> = {
    centre: [[0.5, 44]],
    crown: [[0.5, 44]],
    gutter: [
      [0.08, 57.5],
      [0.92, 57.5],
    ],
    edge: [
      [0, 60],
      [1, 60],
    ],
    other: [],
  };
  return (
    <div ref={ref} class="size-choice">
      <svg width={width} height={height} aria-hidden="true">
        <path d={`${crown}V78H${at(0)}z`} fill="var(--street)" />
        <path d={crown} fill="none" stroke="var(--ink)" />
        {marks[kind].map(([part, y]) => (
          <g key={part}>
            <circle cx={at(part)} cy={y} r="5.5" fill="var(--focus)" />
            {kind === 'centre' && (
              <path
                d={`M${at(part)} ${y - 8}V14M${at(part) - 6} 21l6 -8 6 8`}
                fill="none"
                stroke="var(--focus)"
                stroke-width="2.4"
              />
            )}
          </g>
        ))}
      </svg>
    </div>
  );
}

/** A manhole cut open, with the height meant marked; not to scale. */
export function HeightChoice({ of }: { of: string }) {
  const { ref, width } = useWidth(150);
  const middle = width / 2;
  const levels: Record<string, number> = {
    rim_elevation: 22,
    ground_elevation: 22,
    seat_elevation: 40,
    invert_elevation: 86,
  };
  const y = levels[of] ?? 22;
  const isGround = of === 'ground_elevation';
  return (
    <div ref={ref} class="size-choice">
      <svg width={width} height={height} aria-hidden="true">
        <path
          d={`M6 22H${middle - 17}V40H${middle - 24}V90H6zM${width - 6} 22H${middle + 17}V40H${middle + 24}V90H${width - 6}z`}
          fill="var(--street)"
        />
        <path d={`M${middle - 24} 88V40h8V22h32V40h8V88z`} fill="var(--white)" stroke="var(--ink)" />
        <path
          d={`M${middle - 16} 22h32v5h-32zM${middle - 24} 40h8M${middle + 16} 40h8`}
          fill="#7d8a86"
          stroke="var(--ink)"
        />
        <path
          d={isGround ? `M8 ${y}H${middle - 18}M${middle + 18} ${y}H${width - 8}` : `M${middle - 22} ${y}h44`}
          stroke="var(--focus)"
          stroke-width="4"
        />
      </svg>
    </div>
  );
}
