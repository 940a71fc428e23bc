import { counted } from '#core/units/count.ts';
import { cautions } from '../cautions.ts';
import { stackToBuild } from '../chimney.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import type { DrawPages } from '../print.ts';
import { dayText, momentText, type PaperUnits } from '../units.ts';
import { decisionWords, offsetWords, ringWords, stationWords, thickThin } from '../words.ts';
import type { Kit, ListCover, ListSetting } from './types.ts';

const row = 30;
const columns = { stop: 0, place: 28, what: 168, rings: 262, plate: 432, done: frame.width - 16 };
const foot = 54;

interface Page {
  covers: ListCover[];
  /** Height of the kit above the rows; 0 from the second page on. */
  kit: number;
}

/** The pages of a night: head, kit, one line a cover in driving order, cautions and page numbers. */
export function* listPages(
  covers: readonly ListCover[],
  kit: Kit,
  setting: ListSetting,
): Generator<DrawPages> {
  const pages = split(covers, kitHeight(kit));
  for (const [index, page] of pages.entries()) {
    yield (paper) => {
      paper.page(`Page ${index + 1}`);
      const top = drawHead(paper, setting, covers.length);
      if (page.kit > 0) drawKit(paper, kit, top + 4, page.kit);
      drawRows(paper, page.covers, setting, top + page.kit + 8);
      drawFoot(paper, setting, `Page ${index + 1} of ${pages.length}`);
    };
  }
}

const headHeight = 52;

function split(covers: readonly ListCover[], kit: number): Page[] {
  const room = frame.height - headHeight - foot - 26;
  const pages: Page[] = [];
  let from = 0;
  do {
    const above = pages.length === 0 ? kit : 0;
    const count = Math.max(1, Math.floor((room - above) / row));
    pages.push({ covers: covers.slice(from, from + count), kit: above });
    from += count;
  } while (from < covers.length);
  return pages;
}

function drawHead(paper: Paper, { night, crew, project, agency }: ListSetting, count: number): number {
  const whose = crew === undefined ? 'every crew' : crew === null ? 'no crew' : `crew ${crew}`;
  paper.tag('H1', () =>
    paper.say(`${night === null ? 'No night yet' : dayText(night)}, ${whose}`, {
      x: 0,
      y: 24,
      size: 22,
      face: 'display',
      fit: frame.width - 96,
    }),
  );
  paper.tag('P', () => {
    const many = counted(count, 'cover');
    paper.say(many, { x: frame.width, y: 24, size: 15, face: 'display', align: 'right' });
    paper.say(`${project}. ${agency}. In driving order by straight distance: the roads are yours to judge.`, {
      x: 0,
      y: 41,
      size: 10.5,
      fit: frame.width,
    });
    paper.line(0, 49, frame.width, 49, { weight: 2.4 });
  });
  return headHeight;
}

const kitColumns = 3;
const kitLine = (kit: Kit) =>
  Math.max(6.5, Math.min(13, 260 / Math.max(1, Math.ceil(kit.rings.length / kitColumns))));
const kitHeight = (kit: Kit) =>
  24 + Math.ceil(kit.rings.length / kitColumns) * kitLine(kit) + Math.max(1, kit.sealant.length) * 13 + 8;

function drawKit(paper: Paper, kit: Kit, top: number, height: number): void {
  const total = kit.rings.reduce((sum, { count }) => sum + count, 0);
  paper.tag('H2', () =>
    paper.say(`To load: ${counted(total, 'ring')}`, {
      x: 0,
      y: top + 12,
      size: 12,
      face: 'display',
    }),
  );
  const line = kitLine(kit);
  const rows = Math.ceil(kit.rings.length / kitColumns);
  const size = line * 0.8;
  const width = frame.width / kitColumns;
  for (const [index, { words, count }] of kit.rings.entries()) {
    const x = Math.floor(index / rows) * width;
    const y = top + 18 + ((index % rows) + 0.8) * line;
    paper.tag('P', () => {
      paper.say(`${count} ×`, { x: x + 30, y, size, face: 'display', align: 'right' });
      paper.say(words, { x: x + 35, y, size, face: 'figure', fit: width - 42 });
    });
  }
  const after = top + 18 + rows * line + 11;
  const said =
    kit.sealant.length > 0 ? kit.sealant : ['No sealant: nothing is to be stacked as it is printed.'];
  for (const [index, text] of said.entries()) {
    paper.tag('P', () =>
      paper.say(text, { x: 0, y: after + index * 13, size: 10.5, face: 'strong', fit: frame.width }),
    );
  }
  paper.tag('P', () => paper.line(0, top + height - 2, frame.width, top + height - 2, { weight: 0.8 }));
}

function drawRows(paper: Paper, covers: readonly ListCover[], setting: ListSetting, top: number): void {
  paper.tag('P', () => {
    const heads = [
      ['stop', columns.stop],
      ['cover', columns.place],
      ['do', columns.what],
      ['rings, bottom first', columns.rings],
      ['plate', columns.plate],
    ] as const;
    for (const [word, x] of heads) paper.say(word, { x, y: top + 8, size: 8.5 });
    paper.say('done', { x: frame.width, y: top + 8, size: 8.5, align: 'right' });
    paper.line(0, top + 12, frame.width, top + 12, { weight: 1.2 });
  });
  if (covers.length === 0) {
    paper.tag('P', () => paper.say('No cover has this night.', { x: 0, y: top + 32, size: 12 }));
  }
  for (const [index, cover] of covers.entries()) {
    paper.tag('P', () => drawRow(paper, cover, setting.units, top + 12 + index * row));
  }
}

function drawRow(paper: Paper, cover: ListCover, units: PaperUnits, y: number): void {
  const { structure, plan, stop } = cover;
  const [upper, lower] = [y + 12.5, y + 24];
  paper.say(stop ? String(stop.number) : '·', {
    x: columns.place - 8,
    y: upper + 3,
    size: 14,
    face: 'display',
    align: 'right',
    fit: 22,
  });
  const wide = columns.what - columns.place - 6;
  const isLong = paper.width(structure.id, 12.5, 'display') > wide * 1.5;
  if (isLong)
    paper.set([structure.id], {
      x: columns.place,
      y: y + 9,
      width: wide,
      size: 8,
      face: 'display',
      leading: 1,
      most: 2,
    });
  else paper.say(structure.id, { x: columns.place, y: upper, size: 12.5, face: 'display', fit: wide });
  const place = [structure.street, stationWords(cover.stationM, units), offsetWords(cover.offsetM, units)]
    .filter(Boolean)
    .join(', ');
  paper.set([place || 'street not known'], { x: columns.place, y: lower, width: wide, size: 8.5, most: 1 });
  const room = columns.rings - columns.what - 6;
  const what = decisionWords(plan, structure.adjustment === 'telescoping', units);
  paper.set([what], {
    x: columns.what,
    y: upper,
    width: room,
    size: 12,
    face: 'display',
    leading: 1.05,
    most: 2,
  });
  paper.set([ringsText(cover)], {
    x: columns.rings,
    y: upper - 2,
    width: columns.plate - columns.rings - 8,
    size: 9.5,
    leading: 1.15,
    most: 2,
  });
  paper.set([plateText(cover)], {
    x: columns.plate,
    y: upper - 2,
    width: columns.done - columns.plate - 8,
    size: 9,
    face: cover.plate || cover.stale ? 'strong' : 'text',
    leading: 1.15,
    most: 2,
  });
  paper.box(columns.done, y + 7, 15, 15, { weight: 1.3 });
  paper.line(0, y + row, frame.width, y + row, { weight: 0.5 });
}

function plateText({ plate, stale }: ListCover): string {
  const said = plate === null ? 'none' : `plate ${plate}: reopen`;
  return stale ? `${said}. Plan is stale` : said;
}

function ringsText(cover: ListCover): string {
  const stack = stackToBuild(cover);
  if (cover.structure.adjustment === 'telescoping') return 'Screw top, no rings.';
  if (cover.plan?.status === 'leave') return 'None: it stays as it is.';
  if (stack === null) return 'None printed: see the sheet.';
  if (cover.seal.warning)
    return 'Not to be built yet: they do not count the rope of the vacuum test. See the sheet.';
  if (stack.length === 0) return 'None: the frame on the seat.';
  const said: { words: string; count: number }[] = [];
  for (const { ring, azimuthDeg } of stack) {
    const size = ringWords(ring, cover.ringCatalogue).replace(/^./, (first) => first.toLowerCase());
    const sides = azimuthDeg === null ? null : thickThin(azimuthDeg, cover.roadBearingDeg, cover.offsetM);
    const words = sides ? `${size}, thick ${sides.thick}` : size;
    const last = said.at(-1);
    if (last?.words === words) last.count += 1;
    else said.push({ words, count: 1 });
  }
  const all = said.map(({ words, count }) => (count === 1 ? words : `${count} × ${words}`)).join(' + ');
  return `${all}${cover.chosen ? ' (chosen at the hole)' : ''}`;
}

function drawFoot(paper: Paper, { printedAt, units, twoPersonsKg }: ListSetting, pages: string): void {
  const top = frame.height - foot;
  paper.tag('P', () => {
    paper.line(0, top, frame.width, top, { weight: 1 });
    paper.set(cautions(twoPersonsKg), {
      x: 0,
      y: top + 11,
      width: frame.width,
      size: 8,
      leading: 1.18,
      most: 3,
    });
  });
  paper.tag('P', () => {
    paper.say(
      `Printed ${momentText(printedAt, units)}. Plans change: the sheets and the cards say which holds.`,
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
