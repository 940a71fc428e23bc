import { heavyRings, liftingWords } from '#core/stack/lifting.ts';
import { formatMass } from '#core/units/mass.ts';
import { stackToBuild } from '../chimney.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import { checksHeight, drawChecks } from './checks.ts';
import { drawClock } from './clock.ts';
import { drawFind } from './find.ts';
import { drawFoot, footHeight } from './foot.ts';
import { drawDecision, drawHead } from './head.ts';
import { drawRings, rowCount } from './rings.ts';
import { drawSection } from './section.ts';
import type { SheetCover, SheetSetting } from './types.ts';

const kitHeight = 30;
const liftHeight = 13;
const clockWidth = 168;

/** One cover on one page: what does not have a fixed height shares what is left. */
export function drawSheet(paper: Paper, cover: SheetCover, setting: SheetSetting): void {
  paper.page(cover.structure.id);
  const start = drawDecision(paper, cover, setting, drawHead(paper, cover, setting)) + 4;
  const lift = liftText(cover, setting);
  const end = frame.height - footHeight - checksHeight - kitHeight - (lift ? liftHeight : 0) - 8;
  const rows = rowCount(cover);
  const room = end - start - 10;
  const row = Math.max(12.5, Math.min(26, (room * 0.4) / rows));
  const drawn = room - row * rows - 10;
  const find = Math.max(72, Math.min(135, drawn * 0.4));
  drawFind(paper, cover, setting, { top: start, height: find });
  const sectionTop = start + find + 6;
  const height = drawn - find;
  drawSection(paper, cover, setting, { top: sectionTop, height, width: frame.width - clockWidth - 12 });
  drawClock(paper, cover, { left: frame.width - clockWidth, top: sectionTop, width: clockWidth, height });
  const after = drawRings(paper, cover, setting, { top: sectionTop + height + 6, row });
  if (lift) drawLift(paper, lift, after);
  drawKit(paper, cover, lift ? after + liftHeight : after);
  drawChecks(paper, cover, setting, frame.height - footHeight - checksHeight - 8);
  drawFoot(paper, cover, setting, frame.height - footHeight);
}

/** Rings that one person alone does not lift: `ring 1 (62 lb), rings 2 and 3 (51 lb each)`; blank for none. */
function liftText(cover: SheetCover, { twoPersonsKg, units }: SheetSetting): string {
  const heavy = heavyRings(stackToBuild(cover) ?? [], cover.ringCatalogue?.rings, twoPersonsKg);
  return heavy
    .map(({ places, massKg }) => {
      const mass = formatMass(massKg, units.smallUnit);
      return places.length === 1
        ? `ring ${places[0]} (${mass})`
        : `rings ${places.slice(0, -1).join(', ')} and ${places.at(-1)} (${mass} each)`;
    })
    .join(', ');
}

function drawLift(paper: Paper, lift: string, top: number): void {
  paper.tag('P', () =>
    paper.say(`${liftingWords.replace('t', 'T')}: ${lift}.`, {
      x: 0,
      y: top + 11,
      size: 10,
      face: 'strong',
      fit: frame.width,
    }),
  );
}

function drawKit(paper: Paper, cover: SheetCover, top: number): void {
  const stack = stackToBuild(cover);
  const build =
    cover.structure.adjustment === 'telescoping'
      ? 'Turn or slide the top to its height. Check that it stands plumb over the nut.'
      : stack === null
        ? 'No stack is printed. Write down what is there, and what you build after it is settled.'
        : stack.length === 0
          ? 'The frame goes straight on the seat. Set it dry first and check the rim.'
          : 'Build from the bottom of the table up. Stack it dry first, check height and tilt at the rim, mark a line down the stack, then take it apart and seal.';
  const kit =
    cover.seal.kit && stack !== null
      ? [' ', { text: 'Kit:', face: 'strong' as const }, ` ${cover.seal.kit}`]
      : [];
  const { warning } = cover.seal;
  const said = warning && stack !== null ? [{ text: warning, face: 'strong' as const }] : [build, ...kit];
  paper.tag('P', () => {
    paper.set(said, { x: 0, y: top + 11, width: frame.width, size: 9.5, leading: 1.2, most: 2 });
  });
}
