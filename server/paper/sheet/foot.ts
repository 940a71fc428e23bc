import { cautions } from '../cautions.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import { momentText } from '../units.ts';
import type { SheetCover, SheetSetting } from './types.ts';

export const footHeight = 88;
const left = 330;

/** Cautions, plate and signature, and which plan this is. */
export function drawFoot(
  paper: Paper,
  cover: SheetCover,
  { agency, project, printedAt, units, twoPersonsKg }: SheetSetting,
  top: number,
): void {
  paper.tag('P', () => {
    paper.line(0, top, frame.width, top, { weight: 1 });
    paper.set(cautions(twoPersonsKg), {
      x: 0,
      y: top + 13,
      width: left - 16,
      size: 8.7,
      leading: 1.2,
      most: 6,
    });
  });
  const x = left;
  const right = frame.width;
  paper.tag('P', () => {
    paper.say('Plate no.', { x, y: top + 18, size: 9.5 });
    if (cover.plate) paper.say(cover.plate, { x: x + 46, y: top + 18, size: 11, face: 'display', fit: 74 });
    paper.say('reopened', { x: right - 17, y: top + 18, size: 9.5, align: 'right' });
    paper.box(right - 13, top + 8, 12, 12, { weight: 1.2 });
    paper.line(x, top + 22, right - 62, top + 22, { weight: 0.7 });
  });
  paper.tag('P', () => {
    paper.say('Foreman', { x, y: top + 42, size: 9.5 });
    paper.line(x, top + 46, right, top + 46, { weight: 0.7 });
    paper.say('Date and time', { x, y: top + 66, size: 9.5 });
    paper.line(x, top + 70, right, top + 70, { weight: 0.7 });
  });
  const plan = cover.plan
    ? `Plan ${cover.plan.revision}${cover.plannedAt ? ` of ${momentText(cover.plannedAt, units)}` : ''}`
    : 'No plan';
  paper.tag('P', () => {
    paper.say(`${plan}. Printed ${momentText(printedAt, units)}.`, {
      x: 0,
      y: top + 84,
      size: 8.5,
      face: 'strong',
      fit: 330,
    });
    paper.say(`${agency}, ${project}`, { x: right, y: top + 84, size: 8, align: 'right', fit: 185 });
  });
}
