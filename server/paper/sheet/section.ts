import { type Chimney, chooseCut, cutChimney, type Section, type Slab } from '#core/drawing/chimney.ts';
import { spreadLabels } from '#core/drawing/scale.ts';
import {
  bandPath,
  coverPath,
  framePath,
  type Pen,
  type Radii,
  seatPath,
} from '#core/drawing/sectionPaths.ts';
import { clockHours } from '#core/units/clock.ts';
import { formatElevation } from '#core/units/format.ts';
import { radians, slopeAlong } from '#core/units/slope.ts';
import { chimneyOf } from '../chimney.ts';
import type { Paper, Room } from '../paper.ts';
import { nominal, small } from '../units.ts';
import { hourWords, ringWords } from '../words.ts';
import type { SheetCover, SheetSetting } from './types.ts';

const labelWidth = 148;

interface Label {
  elevation: number;
  strong: string;
  text: string;
}

interface Place {
  top: number;
  height: number;
  width: number;
}

/** One scale both ways, cut through the taper; grade black, joints black, hatch = taper, dots = cone, double rule = seat. */
export function drawSection(paper: Paper, cover: SheetCover, { units }: SheetSetting, place: Place): void {
  const chimney = chimneyOf(cover);
  const finished = cover.plan?.finished ?? null;
  const bearing = cover.roadBearingDeg === null ? null : radians(cover.roadBearingDeg);
  if (!chimney) {
    paper.tag('P', () => {
      paper.say('Section', { x: 0, y: place.top + 11, size: 11, face: 'display' });
      paper.set([whyNotDrawn(cover)], { x: 0, y: place.top + 28, width: place.width - labelWidth, size: 10 });
    });
    return;
  }
  const gradient = finished ? ([finished.gradientEast, finished.gradientNorth] as const) : null;
  const cut = chooseCut(chimney.stack, gradient ? [gradient[0], gradient[1]] : null, bearing);
  const section = cutChimney(chimney, cut);
  const what = chimney.existing === null ? 'Section, true to scale' : 'As it stands, true to scale';
  paper.tag('H3', () =>
    paper.say(`${what}${hoursOfCut(cut, bearing)}`, {
      x: 0,
      y: place.top + 11,
      size: 11,
      face: 'display',
      fit: place.width,
    }),
  );
  const labels = labelsOf(cover, { chimney, section }, { units } as SheetSetting);
  const drawing = layOut(section, chimney, {
    ...place,
    top: place.top + 18,
    height: place.height - 18,
    grade: finished?.elevationM ?? null,
  });
  const slope = gradient ? slopeAlong(gradient, cut) : 0;
  const gradeAt = finished ? (across: number) => finished.elevationM + slope * across : null;
  const said = labels.map(({ strong, text }) => `${strong} ${text}`).join(', ');
  paper.tag(
    'Figure',
    () => {
      drawCut(paper, { section, chimney, gradeAt, ...drawing });
      drawLabels(paper, labels, { ...drawing, section, place });
    },
    `${what}: ${said}`,
  );
}

function whyNotDrawn({ structure, chosen }: SheetCover): string {
  if (structure.seatElevationM !== null)
    return 'Nothing to draw: neither a stack nor the rim as it stands is known. Sketch what you find.';
  return chosen
    ? 'Not drawn: the stack was found by tapes, and the elevation of the seat is not known. Build by the table.'
    : 'Nothing to draw: the seat was never measured. Tape down to it, and sketch what you find.';
}

function hoursOfCut(cut: number, bearing: number | null): string {
  if (bearing === null) return '';
  const right = hourWords(clockHours(cut, bearing));
  return `, cut from ${hourWords(clockHours(cut + Math.PI, bearing))} to ${right} o’clock`;
}

interface Drawing {
  pen: Pen;
  halfSpan: number;
  room: Room;
}

function layOut(
  section: Section,
  chimney: Chimney,
  { top, height, width, grade }: Place & { grade: number | null },
): Drawing {
  const halfSpan = section.halfWidth * 1.22;
  const bottom = chimney.seatElevation - 0.14;
  const highest = Math.max(section.slabs.at(-1)!.top, grade ?? -Infinity) + 0.03;
  const scale = Math.min((width - labelWidth) / (2 * halfSpan), height / (highest - bottom));
  const wide = 2 * halfSpan * scale;
  const left = Math.max(0, (width - labelWidth - wide) / 2);
  const pen: Pen = {
    scale,
    x: (across) => left + (across + halfSpan) * scale,
    y: (elevation) => top + (highest - elevation) * scale,
  };
  return { pen, halfSpan, room: { left, top, right: left + wide, bottom: top + (highest - bottom) * scale } };
}

interface Cut extends Drawing {
  section: Section;
  chimney: Chimney;
  gradeAt: ((across: number) => number) | null;
}

function drawCut(paper: Paper, { section, chimney, gradeAt, pen, halfSpan, room }: Cut): void {
  const radii: Radii = { rim: chimney.rimRadius, bearing: section.halfWidth };
  const cone = seatPath(pen, section.slabs[0], radii);
  paper.dots(cone, room);
  paper.shape(cone);
  for (const slab of section.slabs) drawSlab(paper, slab, { pen, radii, room });
  drawSeat(paper, section.slabs[0], { pen, radii });
  const beside = section.halfWidth * 1.08;
  for (const side of [-1, 1]) {
    const x = pen.x(side * beside);
    paper.line(x, gradeAt ? pen.y(gradeAt(side * beside)) : room.top, x, room.bottom, {
      weight: 0.6,
      dash: [2, 2],
    });
  }
  if (!gradeAt) return;
  const [from, to] = [-halfSpan, halfSpan];
  paper.line(pen.x(from), pen.y(gradeAt(from)), pen.x(to), pen.y(gradeAt(to)), { weight: 2.2 });
}

function drawSlab(
  paper: Paper,
  slab: Slab,
  { pen, radii, room }: { pen: Pen; radii: Radii; room: Room },
): void {
  if (slab.part === 'frame') {
    paper.shape(coverPath(pen, slab, radii), { fill: 'white', weight: 0.7 });
    paper.shape(framePath(pen, slab, radii), { fill: 'black', weight: 0.3 });
    return;
  }
  if (slab.top - slab.bottom <= 0) return;
  const path = bandPath(pen, slab, radii);
  if (slab.part === 'joint') {
    paper.shape(path, { fill: 'black', weight: 0.2 });
    return;
  }
  paper.shape(path, { fill: 'white', weight: 1, dash: slab.part === 'existing' ? [3, 2] : undefined });
  if (slab.ring && slab.ring.thick > slab.ring.thin) paper.hatch(path, room);
}

/** Two rules where rings or frame bear on the cone. */
function drawSeat(paper: Paper, lowest: Slab, { pen, radii }: { pen: Pen; radii: Radii }): void {
  const z = (across: number) => lowest.bottom + lowest.bottomSlope * across;
  const outer = radii.bearing * 1.06;
  const inner = radii.rim * 0.87;
  for (const side of [-1, 1]) {
    for (const down of [0, 2.6]) {
      paper.line(
        pen.x(side * inner),
        pen.y(z(side * inner)) + down,
        pen.x(side * outer),
        pen.y(z(side * outer)) + down,
        { weight: 0.9 },
      );
    }
  }
}

/** Top down as drawn: grade, frame, rings or what stands there, seat. */
function labelsOf(
  { structure, plan, ringCatalogue }: SheetCover,
  { chimney, section: { slabs } }: Pick<Cut, 'chimney' | 'section'>,
  { units }: SheetSetting,
): Label[] {
  const labels: Label[] = [];
  const rings: CutRing[] = [];
  if (plan?.finished)
    labels.push({
      elevation: plan.finished.elevationM,
      strong: 'Grade',
      text: formatElevation(plan.finished.elevationM, units.elevation),
    });
  for (const slab of [...slabs].reverse()) {
    const elevation = (slab.bottom + slab.top) / 2;
    if (slab.part === 'frame')
      labels.push({ elevation, strong: 'Frame', text: nominal(structure.frameHeightM, units) });
    if (slab.part === 'existing')
      labels.push({ elevation, strong: 'Chimney now', text: small(slab.top - slab.bottom, units) });
    if (slab.part === 'ring' && slab.ring) rings.push({ number: slab.number, elevation, id: slab.ring.id });
  }
  for (const group of grouped(rings)) {
    const [upper, lower] = [group[0], group.at(-1)!];
    const words = ringWords(upper.id, ringCatalogue).replace(/^./, (first) => first.toLowerCase());
    labels.push({
      elevation: (upper.elevation + lower.elevation) / 2,
      strong: group.length === 1 ? String(upper.number) : `${lower.number}–${upper.number}`,
      text: group.length === 1 ? words : `${words} each`,
    });
  }
  labels.push({
    elevation: chimney.seatElevation,
    strong: 'Seat',
    text: formatElevation(chimney.seatElevation, units.elevation),
  });
  return labels;
}

interface CutRing {
  number: number;
  elevation: number;
  id: string;
}

/** Neighbours of one kind share a label where there are many rings. */
function grouped(rings: readonly CutRing[]): CutRing[][] {
  if (rings.length <= 6) return rings.map((ring) => [ring]);
  const groups: CutRing[][] = [];
  for (const ring of rings) {
    const last = groups.at(-1);
    if (last?.[0].id === ring.id) last.push(ring);
    else groups.push([ring]);
  }
  return groups;
}

function drawLabels(
  paper: Paper,
  labels: Label[],
  { pen, section, room, place }: Drawing & { section: Section; place: Place },
): void {
  const step = Math.min(14, (place.height - 22) / labels.length);
  const size = Math.min(10, step * 0.8);
  const x = place.width - labelWidth + 18;
  const places = spreadLabels(
    labels.map(({ elevation }) => pen.y(elevation)),
    step,
    [place.top + 24, place.top + place.height - 5],
  );
  labels.forEach(({ elevation, strong, text }, index) => {
    const isGrade = strong === 'Grade';
    const from = isGrade ? room.right : pen.x(section.halfWidth * 0.99);
    const y = places[index];
    paper.line(from, pen.y(elevation), x - 6, y, { weight: 0.5 });
    paper.line(x - 6, y, x - 2, y, { weight: 0.5 });
    const wide = paper.say(strong, { x, y: y + size * 0.35, size, face: 'display' });
    paper.say(text, {
      x: x + wide + 4,
      y: y + size * 0.35,
      size,
      face: 'figure',
      fit: labelWidth - 18 - wide - 4,
    });
  });
}
