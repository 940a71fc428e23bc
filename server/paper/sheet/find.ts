import { curbSideOf, handOf } from '#core/drawing/clock.ts';
import type { Tie } from '#core/field/facts.ts';
import { counted } from '#core/units/count.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import { drawPhoto } from '../photo.ts';
import { type PaperUnits, tape } from '../units.ts';
import type { SheetCover, SheetSetting } from './types.ts';

const leftWidth = 250;
const gap = 18;

/** Ties on the left, the photo or room for a sketch on the right. */
export function drawFind(
  paper: Paper,
  cover: SheetCover,
  { units }: SheetSetting,
  { top, height }: { top: number; height: number },
): void {
  const count = cover.ties.length;
  paper.tag('H3', () =>
    paper.say(count > 0 ? `Find it: ${counted(count, 'tape')}` : 'Find it: no tapes on record, take three', {
      x: 0,
      y: top + 11,
      size: 11,
      face: 'display',
    }),
  );
  const said = cover.ties.map(({ to, distanceM }) => `${tape(distanceM, units)} to ${to}`).join('; ');
  paper.tag(
    'Figure',
    () => drawTies(paper, cover, units, { top: top + 16, height: height - 16 }),
    said || 'Blank lines for three tapes',
  );
  const x = leftWidth + gap;
  const room = { x, y: top + 16, width: frame.width - x, height: height - 18 };
  paper.tag('H3', () =>
    paper.say(cover.photo ? 'What you should see' : 'Sketch: no photo on record', {
      x,
      y: top + 11,
      size: 11,
      face: 'display',
    }),
  );
  const { photo } = cover;
  if (photo)
    paper.tag(
      'Figure',
      () => drawPhoto(paper, photo, room),
      photo.caption || `Photo of ${cover.structure.id}`,
    );
  else
    paper.tag('Figure', () => paper.box(room.x, room.y, room.width, room.height), 'Empty box to sketch in');
}

function drawTies(
  paper: Paper,
  { ties, offsetM }: SheetCover,
  units: PaperUnits,
  { top, height }: { top: number; height: number },
): void {
  const middle = { x: leftWidth / 2, y: top + height / 2 };
  if (ties.length > 4) {
    drawTieList(paper, ties, units, { top: top + 2, height: height - 4 });
    return;
  }
  drawRoadsides(paper, offsetM, { top, height });
  if (ties.length === 0) {
    for (const row of [0, 1, 2]) {
      const y = top + height * (0.3 + row * 0.24);
      paper.line(52, y, 110, y);
      paper.say('to', { x: 115, y, size: 10 });
      paper.line(128, y, 205, y);
    }
    return;
  }
  // Only distances are kept, so the spokes spread evenly: below one another on two sides.
  const right = Math.ceil(ties.length / 2);
  const room = { top: top + 12, height: height - 26 };
  const step = room.height / right;
  drawCover(paper, middle);
  for (const [index, tie] of ties.entries()) {
    const onRight = index < right;
    const among = onRight ? right : ties.length - right;
    const place = onRight ? index : index - right;
    const y = room.top + ((place + 0.5) * room.height) / among;
    drawTie(paper, tie, { from: middle, y, onRight, step, units });
  }
  paper.say('Directions are not on record.', {
    x: middle.x,
    y: top + height - 3,
    size: 7.5,
    align: 'centre',
  });
}

interface TiePlace {
  from: { x: number; y: number };
  y: number;
  onRight: boolean;
  /** Height that a tie has to itself. */
  step: number;
  units: PaperUnits;
}

function drawTie(paper: Paper, { to, distanceM }: Tie, { from, y, onRight, step, units }: TiePlace): void {
  const way = onRight ? 1 : -1;
  const width = 84;
  const x = from.x + way * 26;
  const turn = Math.atan2(y - from.y, x - from.x);
  const start = { x: from.x + 11 * Math.cos(turn), y: from.y + 11 * Math.sin(turn) };
  paper.line(start.x, start.y, x, y, { weight: 0.9, dash: [1.2, 2] });
  const size = Math.min(11.5, step * 0.5);
  const left = onRight ? x + 4 : x - 4 - width;
  const said = tape(distanceM, units);
  const wide = paper.width(said, size, 'display');
  paper.say(said, { x: onRight ? left : left + width - wide, y, size, face: 'display' });
  const isWide = paper.width(to, 9, 'text') > width;
  const name = Math.min(9, step * 0.42);
  if (isWide)
    paper.set([to], {
      x: left,
      y: y + name,
      width,
      size: Math.min(name, 8),
      leading: 1,
      most: step > 30 ? 2 : 1,
    });
  else
    paper.say(to, {
      x: onRight ? left : left + width,
      y: y + name,
      size: name,
      align: onRight ? 'left' : 'right',
    });
}

function drawTieList(
  paper: Paper,
  ties: readonly Tie[],
  units: PaperUnits,
  { top, height }: { top: number; height: number },
): void {
  const step = Math.min(14, height / ties.length);
  const size = Math.min(10, step * 0.86);
  for (const [index, { to, distanceM }] of ties.entries()) {
    const y = top + (index + 0.8) * step;
    paper.say(tape(distanceM, units), { x: 74, y, size, face: 'display', align: 'right' });
    paper.set([to], { x: 79, y, width: leftWidth - 88, size: size * 0.94, leading: 1, most: 1 });
  }
}

function drawCover(paper: Paper, { x, y }: { x: number; y: number }): void {
  paper.doc.save().lineWidth(3).strokeColor('black').circle(x, y, 9.5).stroke().restore();
  paper.line(x - 5, y, x + 5, y);
  paper.line(x, y - 5, x, y + 5);
}

/** Curb and centre line on their own sides, 12 o'clock at the top. */
function drawRoadsides(
  paper: Paper,
  offsetM: number | null,
  { top, height }: { top: number; height: number },
): void {
  const up = handOf(12);
  paper.shape(`M2 ${top + 9}l4.5 ${up[1] * 8}l4.5 8Z`, { fill: 'black' });
  paper.say('up-station', { x: 14, y: top + 9, size: 8.5, face: 'figure' });
  const curb = curbSideOf(offsetM);
  if (!curb) return;
  const curbX = curb === 'right' ? leftWidth - 4 : 4;
  const centreX = leftWidth - curbX;
  const inward = curb === 'right' ? -1 : 1;
  const from = top + 16;
  const to = top + height - 14;
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
