import { type Chimney, chooseCut, cutChimney, type Section, type Slab } from '#core/drawing/chimney.ts';
import { spreadLabels } from '#core/drawing/scale.ts';
import {
  bandPath,
  coverPath,
  framePath,
  type Pen,
  pavementPath,
  type Radii,
  seatPath,
} from '#core/drawing/sectionPaths.ts';
import { clockHours, clockText } from '#core/units/clock.ts';
import { slopeAlong } from '#core/units/slope.ts';
import type { FinishedGrade } from '#shared/plan.ts';
import { useWidth } from './width.ts';

export interface SectionLabel {
  /** Elevation in metres that the label's leader points to. */
  elevation: number;
  strong: string;
  text: string;
  isGrade?: boolean;
}

interface Props {
  chimney: Chimney;
  finished: Pick<FinishedGrade, 'elevationM' | 'gradientEast' | 'gradientNorth'>;
  setDown: number;
  rimToday: number | null;
  bearing: number | null;
  /** Words of every part for the labels, from the drawn slabs. */
  labelsOf: (slabs: Slab[]) => SectionLabel[];
  said: string;
}

const labelGap = 16;
const leaderRoom = 18;
/** Mean advance of the label font at 12.5 px, on the wide side. */
const letterWidth = 6.4;

/** Seat, rings and frame cut open along the taper, one scale both ways, rings listed as they stand. */
export function StackSection(props: Props) {
  const { chimney, finished, bearing } = props;
  const { ref, width } = useWidth(320);
  const gradient = [finished.gradientEast, finished.gradientNorth] as const;
  const cut = chooseCut(chimney.stack, gradient, bearing);
  const section = cutChimney(chimney, cut);
  const labels = props.labelsOf(section.slabs);
  const drawing = layOut(section, labels, {
    width,
    top: section.slabs.at(-1)!.top,
    seat: chimney.seatElevation,
  });
  const slope = slopeAlong(gradient, cut);
  const gradeAt = (x: number) => finished.elevationM + slope * x;
  const { pen, halfSpan, height } = drawing;
  const places = spreadLabels(
    labels.map(({ elevation }) => pen.y(elevation)),
    labelGap,
    [14, height - 24],
  );
  const edge = pen.x(halfSpan);
  const radii: Radii = { rim: chimney.rimRadius, bearing: section.halfWidth };
  return (
    <div ref={ref}>
      <svg width={width} height={height} role="img" aria-label={props.said}>
        <path d={pavementPath(pen, section, { gradeAt, halfSpan })} fill="var(--map)" />
        {props.rimToday !== null && (
          <path
            d={`M${pen.x(-halfSpan)} ${pen.y(props.rimToday)}H${edge}`}
            stroke="var(--line2)"
            stroke-dasharray="5 4"
          />
        )}
        <path
          d={seatPath(pen, section.slabs[0], radii)}
          fill="#a8b1ad"
          stroke="var(--ink)"
          stroke-width="1"
        />
        {section.slabs.map((slab) => (
          <SlabShape key={`${slab.part}${slab.bottom}`} slab={slab} pen={pen} radii={radii} />
        ))}
        <path
          d={`M${pen.x(-halfSpan)} ${pen.y(gradeAt(-halfSpan))}L${edge} ${pen.y(gradeAt(halfSpan))}`}
          stroke="var(--grade)"
          stroke-width="2.5"
        />
        {labels.map((label, index) => (
          <g key={label.strong + label.text}>
            <path
              d={`M${leaderStart(pen, section, label, halfSpan)} ${pen.y(label.elevation)}L${edge + 8} ${places[index]}H${edge + 12}`}
              stroke={label.isGrade ? 'none' : 'var(--line2)'}
              fill="none"
            />
            <text x={edge + 16} y={places[index] + 4} class={label.isGrade ? 'said' : undefined}>
              <tspan class="bold">{label.strong}</tspan> {label.text}
            </text>
          </g>
        ))}
        <EndHours pen={pen} section={section} bearing={bearing} y={height - 4} />
      </svg>
    </div>
  );
}

function leaderStart(pen: Pen, section: Section, label: SectionLabel, halfSpan: number): number {
  return pen.x(label.isGrade ? halfSpan : section.halfWidth * 0.98);
}

interface Room {
  width: number;
  top: number;
  seat: number;
}

/** One scale for both axes, chosen so that the cut fills the width left of the labels. */
function layOut(section: Section, labels: SectionLabel[], { width, top, seat }: Room) {
  const halfSpan = section.halfWidth * 1.13;
  const longest = Math.max(...labels.map(({ strong, text }) => strong.length + 1 + text.length));
  const scale = Math.max(60, width - leaderRoom - longest * letterWidth) / (2 * halfSpan);
  const ground = seat - 0.16;
  const needed = labels.length * labelGap + 40;
  const drawn = (top - ground) * scale + 24 + 20;
  const height = Math.max(drawn, needed);
  const pen: Pen = {
    scale,
    x: (across) => (across + halfSpan) * scale,
    y: (elevation) => height - 20 - (elevation - ground) * scale,
  };
  return { pen, halfSpan, height };
}

function SlabShape({ slab, pen, radii }: { slab: Slab; pen: Pen; radii: Radii }) {
  if (slab.part === 'joint') return <path d={bandPath(pen, slab, radii)} fill="var(--ink)" />;
  if (slab.part === 'frame') {
    return (
      <g>
        <path d={coverPath(pen, slab, radii)} fill="#7d8a86" stroke="var(--ink)" stroke-width="0.8" />
        <path d={framePath(pen, slab, radii)} fill="#3a4644" />
      </g>
    );
  }
  const isTaper = slab.ring !== null && slab.ring.thick > slab.ring.thin;
  const fill = slab.part === 'existing' ? '#e2e6e3' : isTaper ? '#8d9995' : '#c9d0cc';
  return (
    <path
      d={bandPath(pen, slab, radii)}
      fill={fill}
      stroke="var(--ink)"
      stroke-width="1"
      stroke-dasharray={slab.part === 'existing' ? '4 3' : undefined}
    />
  );
}

/** The clock hours at the two ends of the cut, so that the drawing can be turned to the street. */
function EndHours({
  pen,
  section,
  bearing,
  y,
}: {
  pen: Pen;
  section: Section;
  bearing: number | null;
  y: number;
}) {
  if (bearing === null) return null;
  const right = clockHours(section.rightAzimuth, bearing);
  const left = clockHours(section.rightAzimuth + Math.PI, bearing);
  const at = section.halfWidth * 0.86;
  return (
    <g>
      <text x={pen.x(-at)} y={y} text-anchor="middle" class="bold">
        {clockText(left)}
      </text>
      <text x={pen.x(at)} y={y} text-anchor="middle" class="bold">
        {clockText(right)}
      </text>
    </g>
  );
}
