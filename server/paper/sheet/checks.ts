import { expectedDowns } from '#core/field/expectedDowns.ts';
import { tapeMisclosure } from '#core/surface/tapes.ts';
import { radians } from '#core/units/slope.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import { nominal, type PaperUnits, small, smallSize } from '../units.ts';
import { clockNames } from '../words.ts';
import type { SheetCover, SheetSetting } from './types.ts';

const column = 178;
const vacuumLeft = 2 * column + 6;
export const checksHeight = 122;

/** Boxes for four clocks before and after, and for the vacuum test. */
export function drawChecks(paper: Paper, cover: SheetCover, { units }: SheetSetting, top: number): void {
  const names = clockNames(cover.roadBearingDeg, cover.offsetM);
  const { tolerance, radius } = {
    tolerance: cover.limits.toleranceM.value,
    radius: cover.structure.rimDiameterM / 2,
  };
  const expected = expectedOf(cover);
  drawFour(paper, {
    left: 0,
    top,
    title: `Before: down to the seat, ${units.smallUnit}`,
    names,
    values: expected?.map((down) => smallSize(down, units)) ?? null,
    foot: [
      `String on finished grade, ${nominal(radius, units)} from the middle.`,
      `12 + 6 must equal 9 + 3 within ${small(tapeMisclosure, units)}.`,
    ],
  });
  drawFour(paper, {
    left: column + 3,
    top,
    title: `After: rim to string, ${units.smallUnit}`,
    names,
    values: null,
    foot: [`+ proud, − low. Each within ${nominal(tolerance, units)}.`, targetWords(cover, units)],
  });
  drawVacuum(paper, cover, top);
}

function expectedOf({ structure, plan, roadBearingDeg }: SheetCover): readonly number[] | null {
  if (!plan?.finished || structure.seatElevationM === null) return null;
  const { elevationM, gradientEast, gradientNorth } = plan.finished;
  return expectedDowns({
    rise: elevationM - structure.seatElevationM,
    gradient: [gradientEast - structure.seatGradientEast, gradientNorth - structure.seatGradientNorth],
    radius: structure.rimDiameterM / 2,
    bearing: roadBearingDeg === null ? 0 : radians(roadBearingDeg),
  });
}

function targetWords({ structure: { setDownM } }: SheetCover, units: PaperUnits): string {
  if (setDownM === 0) return 'Straightedge over it both ways too.';
  return `Wanted ${small(Math.abs(setDownM), units)} ${setDownM > 0 ? 'below' : 'above'} grade.`;
}

interface Four {
  left: number;
  top: number;
  title: string;
  names: readonly [string, string, string, string];
  values: readonly string[] | null;
  foot: string[];
}

const cell = { width: 56, height: 19 };

/** Boxes stand where they are on the cover: 12 at the top, 3 on the right. */
function drawFour(paper: Paper, { left, top, title, names, values, foot }: Four): void {
  const middle = left + 84;
  const places = [
    [middle - cell.width / 2, top + 27],
    [middle + 22, top + 57],
    [middle - cell.width / 2, top + 87],
    [middle - 22 - cell.width, top + 57],
  ] as const;
  paper.tag('H3', () =>
    paper.say(title, { x: left, y: top + 11, size: 10.5, face: 'display', fit: column - 8 }),
  );
  names.forEach((name, index) => {
    const [x, y] = places[index];
    paper.tag('P', () => {
      const value = values?.[index] ?? '';
      const gap = value ? 4 : 0;
      const name_ = paper.width(name, 8.5, 'text');
      const whole = name_ + gap + (value ? paper.width(value, 12, 'display') : 0);
      const start = x + cell.width / 2 - whole / 2;
      paper.say(name, { x: start, y: y - 3, size: 8.5 });
      if (value) paper.say(value, { x: start + name_ + gap, y: y - 3, size: 12, face: 'display' });
      paper.box(x, y, cell.width, cell.height, { weight: 1.2 });
    });
  });
  paper.tag('P', () => {
    paper.doc
      .save()
      .lineWidth(2.4)
      .strokeColor('black')
      .circle(middle, top + 66, 8)
      .stroke()
      .restore();
    for (const [index, line] of foot.entries()) {
      paper.say(line, { x: left, y: top + 115 + index * 9, size: 8, fit: column - 8 });
    }
  });
}

function drawVacuum(paper: Paper, { vacuum }: SheetCover, top: number): void {
  const x = vacuumLeft;
  const width = frame.width - x;
  if (!vacuum) {
    paper.tag('H3', () =>
      paper.say('Vacuum: not asked for here', { x, y: top + 11, size: 10.5, face: 'display' }),
    );
    paper.tag('P', () => {
      paper.say('Notes', { x, y: top + 26, size: 9 });
      for (const row of [0, 1, 2, 3])
        paper.line(x, top + 46 + row * 22, x + width, top + 46 + row * 22, { weight: 0.6 });
    });
    return;
  }
  const time = vacuum.requiredSeconds === null ? 'time to be found' : `${vacuum.requiredSeconds} s or more`;
  paper.tag('H3', () =>
    paper.say(`Vacuum: ${time}`, { x, y: top + 11, size: 10.5, face: 'display', fit: width }),
  );
  const at = (inHg: number | null) => (inHg === null ? '' : ` (${inHg})`);
  const rows = [`start${at(vacuum.startInHg)} inHg`, `end${at(vacuum.endInHg)} inHg`, 'seconds', 'gauge no.'];
  rows.forEach((name, index) => {
    const y = top + 17 + index * 19.5;
    paper.tag('P', () => {
      paper.say(name, { x, y: y + 12, size: 9.5 });
      paper.box(x + width - 72, y, 72, 17, { weight: 1.1 });
    });
  });
  paper.tag('P', () => {
    const y = top + 97;
    ['pass', 'fail', 'not tested'].forEach((word, index) => {
      const at = x + [0, 44, 82][index];
      paper.box(at, y, 11, 11, { weight: 1.1 });
      paper.say(word, { x: at + 14, y: y + 9, size: 9 });
    });
    const source = [vacuum.why, vacuum.table].filter(Boolean).join(' ');
    paper.set([source], { x, y: top + 116, width, size: 7.5, most: 2 });
  });
}
