import { crescentPath, curbSideOf, handOf, hourOf } from '#core/drawing/clock.ts';
import { radians } from '#core/units/slope.ts';
import { stackToBuild } from '../chimney.ts';
import type { Paper } from '../paper.ts';
import { across, hourWords, thickThin } from '../words.ts';
import type { SheetCover } from './types.ts';

interface Place {
  left: number;
  top: number;
  width: number;
  height: number;
}

interface Taper {
  number: number;
  azimuthDeg: number;
}

/** Tapers from above, 12 up-station; hatched crescents are signs, thick where they are wide. */
export function drawClock(paper: Paper, cover: SheetCover, place: Place): void {
  const tapers = (stackToBuild(cover) ?? []).flatMap(({ azimuthDeg }, index): Taper[] =>
    azimuthDeg === null ? [] : [{ number: index + 1, azimuthDeg }],
  );
  paper.tag('H3', () => {
    const wide = paper.say('From above', { x: place.left, y: place.top + 11, size: 11, face: 'display' });
    const at = place.left + wide + 14;
    paper.shape(`M${at} ${place.top + 11}l4.5 -8l4.5 8Z`, { fill: 'black' });
    const up = cover.roadBearingDeg === null ? 'grid north' : 'up-station';
    paper.say(up, { x: at + 12, y: place.top + 11, size: 8.5, face: 'figure' });
  });
  paper.tag('Figure', () => drawDial(paper, cover, tapers, place), sayTapers(cover, tapers));
}

function sayTapers({ roadBearingDeg, offsetM }: SheetCover, tapers: readonly Taper[]): string {
  if (tapers.length === 0) return 'Clock, 12 up-station; no tapered ring to turn';
  return tapers
    .map(({ number, azimuthDeg }) => {
      const sides = thickThin(azimuthDeg, roadBearingDeg, offsetM);
      return sides
        ? `Ring ${number}: thick at ${sides.thick}, thin at ${sides.thin} o’clock looking up-station`
        : `Ring ${number}: thick side ${Math.round(azimuthDeg)}° from grid north`;
    })
    .join('. ');
}

function drawDial(
  paper: Paper,
  cover: SheetCover,
  tapers: readonly Taper[],
  { left, top, width, height }: Place,
): void {
  const bearing = cover.roadBearingDeg === null ? 0 : radians(cover.roadBearingDeg);
  const middle = { x: left + width / 2, y: top + 18 + (height - 18) / 2 };
  const radius = Math.min((height - 54) / 2, (width - 92) / 2);
  drawSides(paper, cover, { left, top: top + 16, width, height: height - 16 });
  const { doc } = paper;
  doc.save().translate(middle.x, middle.y);
  const hours = tapers.map(({ azimuthDeg }) => hourOf(radians(azimuthDeg), bearing));
  const labels = labelsOf(tapers, hours);
  drawTicks(paper, radius, cover.roadBearingDeg === null ? [] : labels, cover.roadBearingDeg !== null);
  const step = Math.min(13, (radius - 14) / Math.max(1, tapers.length));
  hours.forEach((hour, index) => {
    const outer = radius - index * step;
    const path = crescentPath(outer, outer - step * 0.77, hour);
    // An inner crescent lies over the hole of the one around it, which its own thick side may touch.
    if (index > 0) doc.save().fillColor('white').circle(0, 0, outer).fill().restore();
    const room = { left: -outer, top: -outer, right: outer, bottom: outer };
    paper.hatch(path, room, { step: 2.6, mirrored: index % 2 === 1 });
    paper.shape(path, { weight: 1.1 });
  });
  if (tapers.length === 0) {
    doc
      .save()
      .lineWidth(1.1)
      .circle(0, 0, radius)
      .stroke()
      .circle(0, 0, radius * 0.8)
      .stroke()
      .restore();
    paper.say('no taper', { x: 0, y: 3.5, size: 10, align: 'centre', fit: radius * 1.4 });
  } else if (tapers.length === 1) drawArrow(paper, hours[0], radius - step);
  doc.restore();
}

interface HourLabel {
  hour: number;
  word: string;
  /** Hour that it is written at: two thick sides may lie nearer to one another than their words. */
  at: number;
}

/** One taper has a thick and a thin side; of several the thick sides are named by their rings. */
function labelsOf(tapers: readonly Taper[], hours: readonly number[]): HourLabel[] {
  if (tapers.length === 1) {
    return [
      { hour: hours[0], word: 'thick', at: hours[0] },
      { hour: across(hours[0]), word: 'thin', at: across(hours[0]) },
    ];
  }
  return apart(hours.map((hour, index) => ({ hour, word: `${tapers[index].number} thick`, at: hour })));
}

/** Two labels that are nearer than two hours are written an hour from their middle on either side. */
function apart(labels: HourLabel[]): HourLabel[] {
  if (labels.length !== 2) return labels;
  const [first, second] = labels;
  const turn = ((second.hour - first.hour + 18) % 12) - 6;
  if (Math.abs(turn) >= 2) return labels;
  const middle = first.hour + turn / 2;
  const side = turn < 0 ? -1 : 1;
  const hourAt = (hour: number) => (hour + 12) % 12 || 12;
  return [
    { ...first, at: hourAt(middle - side) },
    { ...second, at: hourAt(middle + side) },
  ];
}

function drawTicks(paper: Paper, radius: number, labels: readonly HourLabel[], isRoad: boolean): void {
  for (let hour = 0; hour < 12; hour += 1) {
    const [x, y] = handOf(hour);
    const to = radius + (hour % 3 === 0 ? 6 : 3.5);
    paper.line(x * (radius + 1), y * (radius + 1), x * to, y * to, { weight: hour % 3 === 0 ? 1.2 : 0.7 });
  }
  const names = isRoad ? ['12', '3', '6', '9'] : ['N', 'E', 'S', 'W'];
  const isNear = (hour: number) =>
    labels.some((label) => Math.abs(label.at - hour) < 1.1 || Math.abs(label.at - hour) > 10.9);
  for (const [index, name] of names.entries()) {
    if (isNear(index * 3 || 12)) continue;
    const [x, y] = handOf(index * 3);
    paper.say(name, {
      x: x * (radius + 12),
      y: y * (radius + 11) + 3.5,
      size: 9,
      face: 'figure',
      align: 'centre',
    });
  }
  for (const label of labels) drawHour(paper, label, radius);
}

/** The hour with its word: beside the dial under one another, above and below it on one line. */
function drawHour(paper: Paper, { hour, word, at: place }: HourLabel, radius: number): void {
  const [x, y] = handOf(place);
  const half = Math.round(hour * 2) / 2 || 12;
  const said = hourWords(half > 12 ? half - 12 : half);
  if (Math.abs(x) < 0.45) {
    const at = y * (radius + 13) + 4.5;
    const wide = paper.width(said, 14, 'display');
    const all = wide + 4 + paper.width(word, 9.5, 'strong');
    const left = x * radius - all / 2;
    paper.say(said, { x: left, y: at, size: 14, face: 'display' });
    paper.say(word, { x: left + wide + 4, y: at, size: 9.5, face: 'strong' });
    return;
  }
  const align = x > 0 ? 'left' : 'right';
  // Above the middle the lower of the two lines would lie on the dial.
  const at = { x: x * (radius + 7), y: y * (radius + 8) + 1 - Math.max(0, -y) * 9 };
  paper.say(said, { ...at, size: 14, face: 'display', align });
  paper.say(word, { x: at.x, y: at.y + 9.5, size: 9.5, face: 'strong', align });
}

/** Points to the thin side. */
function drawArrow(paper: Paper, thick: number, room: number): void {
  const [x, y] = handOf(thick + 6);
  const tip = Math.min(20, room * 0.6);
  // The hole of the crescent lies toward the thin side.
  const from = tip * 0.6;
  paper.line(-x * from, -y * from, x * (tip - 3), y * (tip - 3), { weight: 1.4 });
  paper.shape(
    `M${x * tip} ${y * tip}L${x * (tip - 8) - y * 4} ${y * (tip - 8) + x * 4}L${x * (tip - 8) + y * 4} ${y * (tip - 8) - x * 4}Z`,
    { fill: 'black', weight: 0.2 },
  );
}

function drawSides(
  paper: Paper,
  { offsetM, roadBearingDeg }: SheetCover,
  { left, top, width, height }: Place,
): void {
  const curb = roadBearingDeg === null ? null : curbSideOf(offsetM);
  if (!curb) return;
  const inward = curb === 'right' ? -1 : 1;
  const curbX = curb === 'right' ? left + width - 2 : left + 2;
  const centreX = curb === 'right' ? left + 2 : left + width - 2;
  const [from, to] = [top + 15, top + height - 14];
  paper.line(curbX, from, curbX, to);
  paper.line(curbX + inward * 3, from, curbX + inward * 3, to);
  paper.line(centreX, from, centreX, to, { dash: [7, 5] });
  const y = top + height - 3;
  paper.say('curb', { x: curbX, y, size: 8.5, face: 'figure', align: inward < 0 ? 'right' : 'left' });
  paper.say('centre line', {
    x: centreX,
    y,
    size: 8.5,
    face: 'figure',
    align: inward < 0 ? 'left' : 'right',
  });
}
