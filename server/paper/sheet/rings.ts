import { stackToBuild } from '../chimney.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import { nominal } from '../units.ts';
import { ringWords, thickThin } from '../words.ts';
import type { SheetCover, SheetSetting } from './types.ts';

const columns = { number: 0, name: 26, turn: 172, joint: 308, used: frame.width - 92 };

/** Rows of the table: the rings and the frame over them; blank ones where nothing is planned to be built. */
export function rowCount(cover: SheetCover): number {
  return ringRows(cover) + 1;
}

/** A telescoping top has no rings under it; without a stack three blank rows wait for what is built. */
function ringRows(cover: SheetCover): number {
  if (cover.structure.adjustment === 'telescoping') return 0;
  return stackToBuild(cover)?.length ?? 3;
}

/** The list stands like the stack: ring 1 at the bottom, the seat under it as a double rule. */
export function drawRings(
  paper: Paper,
  cover: SheetCover,
  { units }: SheetSetting,
  { top, row }: { top: number; row: number },
): number {
  const stack = stackToBuild(cover);
  const size = Math.min(16, row * 0.66);
  const minor = Math.min(10.5, row * 0.56);
  paper.tag('P', () => paper.line(0, top, frame.width, top, { weight: 2.4 }));
  const rows = ringRows(cover);
  const isTop = cover.structure.adjustment === 'telescoping';
  for (let index = 0; index <= rows; index += 1) {
    const number = rows - index + 1;
    const y = top + index * row;
    const base = y + row * 0.5 + size * 0.36;
    paper.tag('P', () => {
      if (isTop)
        paper.say('Screw or slide top: no rings', { x: columns.name, y: base, size, face: 'display' });
      else if (stack === null) drawBlank(paper, number, { base, size, isFrame: index === 0 });
      else if (index === 0) paper.say('Frame', { x: columns.name, y: base, size, face: 'display' });
      else {
        paper.say(String(number), { x: columns.number + 3, y: base, size, face: 'display' });
        drawRing(paper, cover, stack[number - 1], { base, size, minor });
      }
      if (index === 0 && stack !== null)
        paper.say(`${nominal(cover.structure.frameHeightM, units)} high`, {
          x: columns.turn,
          y: base,
          size: minor,
        });
      const joint = index === 0 ? cover.seal.joints.at(-1) : cover.seal.joints[number - 1];
      if (stack !== null && joint)
        paper.say(joint, { x: columns.joint, y: base, size: minor, fit: columns.used - columns.joint - 12 });
      paper.say('used', { x: columns.used + 20, y: base, size: minor, align: 'right' });
      paper.box(columns.used + 25, y + 2.5, 66, row - 5, { weight: 1.1 });
      if (index < rows) paper.line(0, y + row, columns.used - 4, y + row, { weight: 0.5 });
    });
  }
  const bottom = top + (rows + 1) * row;
  paper.tag('P', () => {
    paper.line(0, bottom + 1, frame.width, bottom + 1, { weight: 1.3 });
    paper.line(0, bottom + 4, frame.width, bottom + 4, { weight: 1.3 });
  });
  return bottom + 5;
}

interface Line {
  base: number;
  size: number;
}

function drawRing(
  paper: Paper,
  cover: SheetCover,
  placed: { ring: string; azimuthDeg: number | null },
  { base, size, minor }: Line & { minor: number },
): void {
  const words = ringWords(placed.ring, cover.ringCatalogue);
  const room = columns.turn - columns.name - 6;
  if (placed.azimuthDeg === null) {
    paper.say(words, { x: columns.name, y: base, size, face: 'display', fit: room });
    paper.say(placed.ring, { x: columns.turn, y: base, size: minor, fit: columns.joint - columns.turn - 6 });
    return;
  }
  paper.say(words, { x: columns.name, y: base, size, face: 'display', fit: room });
  const sides = thickThin(placed.azimuthDeg, cover.roadBearingDeg, cover.offsetM);
  const width = columns.joint - columns.turn - 6;
  if (sides === null) {
    paper.say(`thick side ${Math.round(placed.azimuthDeg)}° from grid north`, {
      x: columns.turn,
      y: base,
      size: minor,
      face: 'strong',
      fit: width,
    });
    return;
  }
  const lines = [
    `thick ${sides.thick} ${short(sides.thickSide)}`,
    `thin ${sides.thin} ${short(sides.thinSide)}`,
  ];
  const step = Math.min(11.5, size * 0.74);
  const each = Math.min(10.5, step * 0.92);
  paper.say(lines[0], { x: columns.turn, y: base - step * 0.55, size: each, face: 'strong', fit: width });
  paper.say(lines[1], { x: columns.turn, y: base + step * 0.45, size: each, face: 'strong', fit: width });
}

const short = (side: string) => side.replace(' the ', ' ').replace('centre line', 'centre');

function drawBlank(paper: Paper, number: number, { base, size, isFrame }: Line & { isFrame: boolean }): void {
  paper.say(isFrame ? 'Frame' : String(number), {
    x: isFrame ? columns.name : 3,
    y: base,
    size,
    face: 'display',
  });
  if (!isFrame)
    paper.line(columns.name, base + 1, columns.joint - 10, base + 1, { dash: [1, 2], weight: 0.7 });
}
