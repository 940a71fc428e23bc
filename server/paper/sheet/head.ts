import { sayReason } from '#core/decision/words.ts';
import type { CoverPlan } from '#shared/plan.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import { drawQr } from '../qr.ts';
import { dayText, nominal, type PaperUnits, small, withFractions } from '../units.ts';
import { decisionWords, isToBuild, kindWords, offsetWords, stackWords, stationWords } from '../words.ts';
import type { SheetCover, SheetSetting } from './types.ts';

const qrSide = 70;
const room = frame.width - qrSide - 8;

/** Who and where, with the code of its card; gives where the next block begins. */
export function drawHead(paper: Paper, cover: SheetCover, { units }: SheetSetting): number {
  const { structure, stop, night, crew } = cover;
  const stopWords = stop ? `Stop ${stop.number} of ${stop.of}` : '';
  const stopWidth = stopWords ? paper.width(stopWords, 16, 'display') + 14 : 0;
  paper.tag('H1', () => drawId(paper, structure.id, room - stopWidth));
  paper.tag('P', () => {
    if (stopWords) paper.say(stopWords, { x: room, y: 24, size: 16, face: 'display', align: 'right' });
    const when = [night && dayText(night), crew && `crew ${crew}`].filter(Boolean).join(', ');
    const place = [structure.street, stationWords(cover.stationM, units)].filter(Boolean).join(' ');
    const side = offsetWords(cover.offsetM, units);
    const wide = paper.say(place || 'Street not known', {
      x: 0,
      y: 46,
      size: 12,
      face: 'display',
      fit: side ? room - 130 : room,
    });
    if (side) paper.say(side, { x: wide + 8, y: 46, size: 11.5, face: 'figure', fit: room - wide - 8 });
    const whenWidth = when ? Math.min(paper.width(when, 10.5, 'display'), 210) : 0;
    const what = [structure.owner, kindWords(structure.kind)].filter(Boolean).join('. ');
    paper.say(`${what}.`, { x: 0, y: 61, size: 10.5, fit: room - whenWidth - 12 });
    if (when) paper.say(when, { x: room, y: 61, size: 10.5, face: 'display', align: 'right', fit: 210 });
  });
  paper.tag(
    'Figure',
    () => drawQr(paper, cover.address, { x: frame.width - qrSide + 5, y: -6, side: qrSide }),
    `QR code of the card: ${cover.address}`,
  );
  paper.tag('P', () => paper.line(0, 68, frame.width, 68, { weight: 2.4 }));
  return 68;
}

/** An id is never cut: it is set smaller, then on two lines. */
function drawId(paper: Paper, id: string, width: number): void {
  const full = paper.width(id, 36, 'display');
  if (full <= width * 2) {
    paper.say(id, { x: 0, y: 28, size: 36, face: 'display', fit: width });
    return;
  }
  const half = Math.ceil([...id].length / 2);
  const letters = [...id];
  paper.say(letters.slice(0, half).join(''), { x: 0, y: 13, size: 15, face: 'display', fit: width });
  paper.say(letters.slice(half).join(''), { x: 0, y: 29, size: 15, face: 'display', fit: width });
}

/** What to do and why; gives where the next block begins. */
export function drawDecision(paper: Paper, cover: SheetCover, { units }: SheetSetting, top: number): number {
  const { plan, structure, limits } = cover;
  let y = top;
  if (cover.stale) {
    paper.tag('P', () => {
      paper.box(0, y + 5, frame.width, 20, { weight: 2 });
      paper.say(cover.stale!, {
        x: frame.width / 2,
        y: y + 19,
        size: 11.5,
        face: 'strong',
        align: 'centre',
        fit: frame.width - 14,
      });
    });
    y += 24;
  }
  const words =
    cover.chosen && plan && !isToBuild(plan)
      ? chosenTitle(plan, units)
      : decisionWords(plan, structure.adjustment === 'telescoping', units);
  let wide = 0;
  paper.tag('H2', () => {
    wide = paper.say(words, { x: 0, y: y + 29, size: 29, face: 'display', fit: frame.width * 0.66 });
  });
  const rest = restWords(cover, units);
  paper.tag('P', () => {
    paper.set([rest], { x: wide + 14, y: y + 16, width: frame.width - wide - 14, size: 10.5, most: 2 });
  });
  const reasons = (plan?.reasons ?? []).map((reason) => withFractions(sayReason(reason, units))).join(' ');
  const said = cover.chosen ? chosenWords(cover) : reasons;
  y += 38;
  if (said) {
    paper.tag('P', () => {
      const isLong = !isToBuild(plan);
      const size = isLong ? 11.5 : 9.5;
      const after = paper.set([said], { x: 0, y: y + size, width: frame.width, size, most: isLong ? 6 : 3 });
      y = after - size + 3;
    });
  }
  return y;

  function restWords({ chosen }: SheetCover, of: typeof units): string {
    if (!plan)
      return 'There is no plan for this cover yet: no stack is printed. Plan it, then print this again.';
    if (!isToBuild(plan) && !chosen)
      return plan.status === 'leave'
        ? 'It is right as it stands.'
        : 'No stack is printed: nothing is built until this is settled.';
    const down =
      structure.setDownM === 0
        ? ''
        : `, ${small(Math.abs(structure.setDownM), of)} ${structure.setDownM > 0 ? 'below' : 'above'} it`;
    return `to finished grade${down}. Rim to end within ${nominal(limits.toleranceM.value, of)} all round.`;
  }
}

/** What the stack does that was chosen at the hole where the plan had none: a seat was taped, or the grade measured. */
function chosenTitle({ rimErrorM }: CoverPlan, units: PaperUnits): string {
  if (rimErrorM === null) return 'Build as chosen';
  return `${rimErrorM < 0 ? 'Raise' : 'Lower'} ${small(Math.abs(rimErrorM), units)}`;
}

function chosenWords({ chosen, plan, ringCatalogue }: SheetCover): string {
  const before =
    plan && plan.stack.length > 0 ? ` The plan has ${stackWords(plan.stack, ringCatalogue)}.` : '';
  return `This stack was chosen at the hole by ${chosen!.by}, in place of the plan's: ${chosen!.reason}.${before}`;
}
