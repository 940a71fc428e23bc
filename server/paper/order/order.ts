import { liftingWords, liftLimitText } from '#core/stack/lifting.ts';
import { sayTakeoff } from '#core/supply/words.ts';
import type { Takeoff, TakeoffRing } from '#shared/takeoff.ts';
import type { Run } from '../letters.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import type { DrawPages } from '../print.ts';
import { momentText, nominalSize } from '../units.ts';
import { drawRing } from './ring.ts';

export interface OrderSetting {
  agency: string;
  project: string;
  /** Of which covers, in words. */
  scope: string;
  printedAt: Date;
  /** By which the time of printing is said. */
  timeZone: string;
  /** A ring heavier than this is lifted by two, kilograms. */
  twoPersonsKg: number;
}

const row = 32;
const headHeight = 104;
const tableHead = 18;
const foot = 44;
const columns = {
  ring: 28,
  words: 78,
  needed: 258,
  spare: 304,
  onHand: 356,
  order: 478,
  leftOver: frame.width,
};

interface Line {
  ring: TakeoffRing;
  /** Heading above the line where a part begins. */
  heading: string | null;
}

/** The pages of an order: what is bought, then what is there already, then which covers are not in it. */
export function* orderPages(found: Takeoff, setting: OrderSetting): Generator<DrawPages> {
  const lines = linesOf(found);
  const thickest = Math.max(0.001, ...found.rings.map(({ thickM }) => thickM));
  const parts = split(lines);
  const left = leftOutHeight(found);
  const last = parts.at(-1)!;
  const room = frame.height - headHeight - tableHead - foot;
  const isApart = left > 0 && heightOf(last) + left > room;
  const pages = parts.length + (isApart ? 1 : 0);
  for (const [index, part] of parts.entries()) {
    yield (paper) => {
      paper.page(`Page ${index + 1}`);
      drawHead(paper, found, setting);
      const y = drawLines(paper, part, { unit: found.unit, thickest });
      if (index === parts.length - 1 && !isApart) drawLeftOut(paper, found, y);
      drawFoot(paper, found, setting, `Page ${index + 1} of ${pages}`);
    };
  }
  if (!isApart) return;
  yield (paper) => {
    paper.page(`Page ${pages}`);
    drawHead(paper, found, setting);
    drawLeftOut(paper, found, headHeight);
    drawFoot(paper, found, setting, `Page ${pages} of ${pages}`);
  };
}

function linesOf({ rings }: Takeoff): Line[] {
  const bought = rings.filter(({ packs }) => packs > 0);
  const there = rings.filter(({ packs, needed, spare }) => packs === 0 && needed + spare > 0);
  const part = (list: readonly TakeoffRing[], heading: string) =>
    list.map((ring, at): Line => ({ ring, heading: at === 0 ? heading : null }));
  return [...part(bought, 'To order'), ...part(there, 'On hand is enough')];
}

const heightOf = (lines: readonly Line[]) =>
  lines.reduce((sum, { heading }) => sum + row + (heading === null ? 0 : 20), 0);

function split(lines: readonly Line[]): Line[][] {
  const room = frame.height - headHeight - tableHead - foot;
  const parts: Line[][] = [[]];
  for (const line of lines) {
    if (heightOf([...parts.at(-1)!, line]) > room) parts.push([]);
    parts.at(-1)!.push(line);
  }
  return parts;
}

function drawHead(paper: Paper, found: Takeoff, { agency, project, scope }: OrderSetting): void {
  const { totals } = found;
  paper.tag('H1', () => {
    paper.say('Order list of rings', { x: 0, y: 24, size: 22, face: 'display' });
    const packs = totals.packs === totals.toOrder ? '' : `${totals.packs.toLocaleString('en')} packs, `;
    paper.say(`${packs}${totals.toOrder.toLocaleString('en')} rings`, {
      x: frame.width,
      y: 24,
      size: 15,
      face: 'display',
      align: 'right',
    });
  });
  paper.tag('P', () => {
    paper.say(`${project}. ${agency}. ${scope}`, { x: 0, y: 41, size: 10.5, fit: frame.width });
    paper.line(0, 49, frame.width, 49, { weight: 2.4 });
  });
  paper.tag('P', () =>
    paper.set([sayTakeoff({ ...totals, covers: found.covers, leftOut: found.leftOut })], {
      x: 0,
      y: 64,
      width: frame.width,
      size: 11.5,
      face: 'strong',
      most: 2,
      leading: 1.15,
    }),
  );
  paper.tag('P', () =>
    paper.set(stateWords(found), { x: 0, y: 84, width: frame.width, size: 9, most: 2, leading: 1.2 }),
  );
}

function stateWords({ planRevision, planStale, totals, built }: Takeoff): Run[] {
  const { notCounted } = totals;
  const plan: Run = planStale
    ? { text: `Something changed since plan ${planRevision}: plan again before you order.`, face: 'strong' }
    : planRevision === 0
      ? 'There is no plan yet.'
      : `From plan ${planRevision}.`;
  const kinds = notCounted === 1 ? '1 kind' : `${notCounted} kinds`;
  const stock =
    notCounted > 0 ? ` Of ${kinds} nobody counted what is on hand: all that is needed is ordered.` : '';
  const stacks = built === 1 ? '1 stack stands' : `${count(built)} stacks stand`;
  return [
    plan,
    `${stock}${built > 0 ? ` ${stacks} already and ${built === 1 ? 'needs' : 'need'} no more rings.` : ''}`,
  ];
}

const count = (rings: number): string => rings.toLocaleString('en');

function drawLines(
  paper: Paper,
  lines: readonly Line[],
  { unit, thickest }: { unit: 'in' | 'mm'; thickest: number },
): number {
  const top = headHeight;
  paper.tag('P', () => {
    paper.say('here', { x: 0, y: top + 10, size: 8.5 });
    paper.say('ring', { x: columns.ring, y: top + 10, size: 8.5 });
    const right = { y: top + 10, size: 8.5, align: 'right' as const };
    paper.say('needed', { x: columns.needed, ...right });
    paper.say('spare', { x: columns.spare, ...right });
    paper.say('on hand', { x: columns.onHand, ...right });
    paper.say('to order', { x: columns.order, ...right });
    paper.say('left after', { x: columns.leftOver, ...right });
    paper.line(0, top + 14, frame.width, top + 14, { weight: 1.2 });
  });
  let y = top + tableHead;
  if (lines.length === 0) paper.tag('P', () => paper.say('Nothing to order.', { x: 0, y: y + 16, size: 12 }));
  for (const { ring, heading } of lines) {
    if (heading !== null) {
      const at = y + 13;
      paper.tag('H2', () => paper.say(heading, { x: 0, y: at, size: 11, face: 'display' }));
      y += 20;
    }
    const at = y;
    paper.tag('P', () => drawRow(paper, ring, { unit, thickest, y: at }));
    y += row;
  }
  return y;
}

function drawRow(
  paper: Paper,
  ring: TakeoffRing,
  { unit, thickest, y }: { unit: 'in' | 'mm'; thickest: number; y: number },
): void {
  const base = y + 20;
  if (ring.packs > 0) paper.box(0, y + 8, 15, 15, { weight: 1.3 });
  drawRing(paper, ring, { x: columns.ring, bottom: y + 26, width: 40, scale: 20 / thickest });
  const wide = columns.needed - columns.words - 38;
  paper.say(sizeWords(ring, unit), { x: columns.words, y: y + 14, size: 11, face: 'strong', fit: wide });
  const across = `${nominalSize(ring.outerDiameterM, unit)} ${unit} across`;
  paper.say(`${ring.ring}, ${across}`, { x: columns.words, y: y + 26, size: 8.5, fit: wide });
  const figure = { y: base, size: 11, face: 'figure' as const, align: 'right' as const };
  paper.say(count(ring.needed), { x: columns.needed, ...figure, fit: 42 });
  paper.say(count(ring.spare), { x: columns.spare, ...figure, fit: 40 });
  paper.say(ring.onHand === null ? 'not counted' : count(ring.onHand), {
    x: columns.onHand,
    ...figure,
    size: ring.onHand === null ? 8 : 11,
    fit: 46,
  });
  const [upper, lower] = orderWords(ring);
  paper.say(upper, {
    x: columns.order,
    y: y + (lower ? 15 : 20),
    size: 13,
    face: 'display',
    align: 'right',
    fit: 112,
  });
  if (lower) paper.say(lower, { x: columns.order, y: y + 26, size: 8.5, align: 'right', fit: 112 });
  paper.say(count(ring.leftOver), { x: columns.leftOver, ...figure, fit: 44 });
  paper.line(0, y + row, frame.width, y + row, { weight: 0.5 });
}

function orderWords({ packs, pack, toOrder }: TakeoffRing): [upper: string, lower: string] {
  if (packs === 0) return ['none', ''];
  if (pack === 1) return [toOrder === 1 ? '1 ring' : `${count(toOrder)} rings`, ''];
  return [packs === 1 ? `1 pack of ${pack}` : `${count(packs)} packs of ${pack}`, `${count(toOrder)} rings`];
}

/** `Flat 3 in`, `Taper 1⁄2 to 1 1⁄2 in`. */
function sizeWords({ kind, thinM, thickM }: TakeoffRing, unit: 'in' | 'mm'): string {
  const thick = nominalSize(thickM, unit);
  return kind === 'flat' ? `Flat ${thick} ${unit}` : `Taper ${nominalSize(thinM, unit)} to ${thick} ${unit}`;
}

const leftLine = 25;

function leftOutHeight({ reasons, unknownRings }: Takeoff): number {
  if (reasons.length + unknownRings.length === 0) return 0;
  return 26 + reasons.length * leftLine + (unknownRings.length > 0 ? leftLine : 0);
}

function drawLeftOut(paper: Paper, { leftOut, reasons, unknownRings }: Takeoff, from: number): void {
  if (reasons.length + unknownRings.length === 0) return;
  const title =
    leftOut === 1 ? '1 cover is not in it' : `${leftOut.toLocaleString('en')} covers are not in it`;
  let y = from + 20;
  if (leftOut > 0) paper.tag('H2', () => paper.say(title, { x: 0, y, size: 12, face: 'display' }));
  for (const { text, covers, ids } of reasons) {
    const at = y + 14;
    paper.tag('P', () => {
      paper.say(String(covers), { x: 30, y: at, size: 11, face: 'display', align: 'right', fit: 30 });
      paper.say(text, { x: 38, y: at, size: 10, fit: frame.width - 38 });
      const more = covers > ids.length ? ' and others' : '';
      paper.set([`${ids.join(', ')}${more}`], {
        x: 38,
        y: at + 11,
        width: frame.width - 38,
        size: 8,
        most: 1,
      });
    });
    y += leftLine;
  }
  const unknown = unknownRings.filter(({ needed }) => needed > 0);
  if (unknown.length === 0) return;
  const names = unknown.map(({ ring, needed }) => `${ring} (${count(needed)})`).join(', ');
  paper.tag('P', () =>
    paper.set([`Rings that the catalogue does not have, to be ordered apart: ${names}.`], {
      x: 0,
      y: y + 16,
      width: frame.width,
      size: 10,
      face: 'strong',
      most: 1,
    }),
  );
}

function drawFoot(
  paper: Paper,
  { planRevision }: Takeoff,
  { printedAt, timeZone, twoPersonsKg }: OrderSetting,
  pages: string,
): void {
  const top = frame.height - foot;
  paper.tag('P', () => {
    paper.line(0, top, frame.width, top, { weight: 1 });
    paper.set(
      [
        'Left after: on hand and ordered, less what is needed; the spares are in it. Rings over ' +
          `${liftLimitText(twoPersonsKg)} take ${liftingWords}.`,
      ],
      { x: 0, y: top + 11, width: frame.width, size: 8, leading: 1.18, most: 2 },
    );
  });
  paper.tag('P', () => {
    paper.say(
      `Printed ${momentText(printedAt, { timeZone })} from plan ${planRevision}. Plans change: print it again before you order.`,
      {
        x: 0,
        y: frame.height - 3,
        size: 8.5,
        face: 'strong',
      },
    );
    paper.say(pages, { x: frame.width, y: frame.height - 3, size: 10, face: 'display', align: 'right' });
  });
}
