import { counted } from '#core/units/count.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import type { DrawPages } from '../print.ts';
import { momentText } from '../units.ts';
import { blockHeight, drawBlock, verdictWords } from './block.ts';
import type { PackCover, PackLine, PackSetting, VerdictState } from './types.ts';

const foot = 20;
const last = frame.height - foot;

/** Title with counts, limits and what is not accepted, then a block a cover; a block is never parted. */
export async function* packPages(
  lines: readonly PackLine[],
  covers: AsyncIterable<PackCover>,
  setting: PackSetting,
): AsyncGenerator<DrawPages> {
  const flow = { y: 0 };
  yield (paper) => {
    flow.y = drawTitle(paper, lines, setting);
  };
  let isFirst = true;
  for await (const cover of covers) {
    const onNew = isFirst;
    isFirst = false;
    yield (paper) => {
      const height = blockHeight(paper, cover);
      if (onNew || flow.y + height > last) flow.y = startPage(paper, setting);
      drawBlock(paper, cover, setting.units, flow.y);
      flow.y += height;
    };
  }
}

function startPage(paper: Paper, { street, project, agency, printedAt, units }: PackSetting): number {
  const number = paper.pages + 1;
  paper.page(number === 1 ? 'Title' : `Page ${number}`);
  paper.tag('P', () => {
    paper.say(`Acceptance pack, ${street}. ${project}, ${agency}. Printed ${momentText(printedAt, units)}.`, {
      x: 0,
      y: frame.height - 2,
      size: 8.5,
      fit: frame.width - 60,
    });
    paper.say(`Page ${number}`, {
      x: frame.width,
      y: frame.height - 2,
      size: 10,
      face: 'display',
      align: 'right',
    });
  });
  return 0;
}

const states: readonly VerdictState[] = ['accepted', 'notAccepted', 'notChecked'];

function drawTitle(paper: Paper, lines: readonly PackLine[], setting: PackSetting): number {
  startPage(paper, setting);
  paper.tag('H1', () => {
    paper.say('Acceptance pack', { x: 0, y: 28, size: 30, face: 'display' });
    paper.say(setting.street, { x: 0, y: 56, size: 20, face: 'display', fit: frame.width });
  });
  paper.tag('P', () => {
    paper.say(`${setting.project}. ${setting.agency}.`, { x: 0, y: 74, size: 11, fit: frame.width });
    paper.line(0, 82, frame.width, 82, { weight: 2.4 });
  });
  let y = 104;
  paper.tag('H2', () =>
    paper.say(counted(lines.length, 'cover'), {
      x: 0,
      y,
      size: 15,
      face: 'display',
    }),
  );
  for (const state of states) {
    y += 20;
    const count = lines.filter((line) => line.state === state).length;
    const at = y;
    paper.tag('P', () => {
      paper.say(String(count), { x: 34, y: at, size: 15, face: 'display', align: 'right' });
      paper.say(verdictWords[state], {
        x: 44,
        y: at,
        size: 12,
        face: state === 'accepted' ? 'figure' : 'display',
      });
    });
  }
  y = drawLimits(paper, setting, y + 30);
  return drawOpen(paper, lines, setting, y + 18);
}

function drawLimits(paper: Paper, { limits }: PackSetting, top: number): number {
  paper.tag('H2', () => paper.say('Judged by', { x: 0, y: top, size: 13, face: 'display' }));
  let y = top + 6;
  for (const { name, value, whose } of limits) {
    const at = y + 11;
    paper.tag('P', () => {
      paper.say(name, { x: 0, y: at, size: 10, fit: 176 });
      paper.say(value, { x: 182, y: at, size: 10, face: 'display', fit: 190 });
      paper.say(whose, { x: 380, y: at, size: 10, fit: frame.width - 380 });
      paper.line(0, at + 4, frame.width, at + 4, { weight: 0.4 });
    });
    y += 16;
  }
  return y;
}

/** Whatever is not accepted, with why; none is left out. */
function drawOpen(paper: Paper, lines: readonly PackLine[], setting: PackSetting, top: number): number {
  const open = lines.filter(({ state }) => state !== 'accepted');
  let y = top + 12;
  paper.tag('H2', () =>
    paper.say(open.length === 0 ? 'Every cover is accepted' : `Not accepted: ${open.length}`, {
      x: 0,
      y,
      size: 13,
      face: 'display',
      fit: frame.width,
    }),
  );
  y += 8;
  for (const { id, state, reasons } of open) {
    const why = `${verdictWords[state]}. ${reasons.join(' ')}`;
    const setting_ = { width: frame.width - 150, size: 9.5, leading: 1.2 };
    const height = Math.max(14, paper.height([why], setting_) + 5);
    if (y + height > last) y = startPage(paper, setting) + 4;
    const at = y;
    paper.tag('P', () => {
      paper.set([id], { x: 0, y: at + 10, width: 142, size: 10.5, face: 'display', most: 1 });
      paper.set([why], { x: 150, y: at + 10, ...setting_ });
      paper.line(0, at + height - 1, frame.width, at + height - 1, { weight: 0.4 });
    });
    y += height;
  }
  return y;
}
