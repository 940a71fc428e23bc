import { formatElevation } from '#core/units/format.ts';
import type { Paper } from '../paper.ts';
import { frame } from '../paperSize.ts';
import { drawPhoto } from '../photo.ts';
import { momentText, type PaperUnits, small } from '../units.ts';
import { kindWords, offsetWords, stationWords } from '../words.ts';
import { drawRim, proudLow } from './rim.ts';
import type { PackCover, SaidBy, VerdictState } from './types.ts';

export const verdictWords: Record<VerdictState, string> = {
  accepted: 'Accepted',
  notAccepted: 'NOT ACCEPTED',
  notChecked: 'NOT CHECKED',
};

const nameWidth = 66;
const saidWidth = 150;
const textWidth = frame.width - nameWidth - saidWidth - 12;
const rowSize = 9;
const leading = 1.2;
const rimHeight = 112;
const photoHeight = 78;

/** Height that a cover takes. */
export function blockHeight(paper: Paper, cover: PackCover): number {
  const rows = cover.rows.reduce((sum, row) => sum + rowHeight(paper, row.text, row.said), 0);
  const reasons = reasonText(cover);
  const said = reasons ? paper.height([reasons], { width: frame.width, size: 10, leading }) + 3 : 0;
  return 46 + said + rimHeight + 10 + rows + (cover.photos.length > 0 ? photoHeight + 8 : 0) + 14;
}

const reasonText = ({ verdict }: PackCover) => verdict.reasons.join(' ');

function rowHeight(paper: Paper, text: string, said: SaidBy | null): number {
  const tall = paper.height([text], { width: textWidth, size: rowSize, leading });
  return Math.max(tall, said ? 2 * 8 * leading : 0) + 5;
}

export function drawBlock(paper: Paper, cover: PackCover, units: PaperUnits, top: number): void {
  drawBlockHead(paper, cover, units, top);
  let y = top + 42;
  const reasons = reasonText(cover);
  if (reasons) {
    paper.tag('P', () => {
      y = paper.set([reasons], { x: 0, y: y + 9, width: frame.width, size: 10, leading }) - 9 + 3;
    });
  }
  const words = cover.rim?.facts.rimErrorsM.map((error) => proudLow(error, units)).join(', ');
  paper.tag(
    'Figure',
    () => drawRim(paper, cover, units, { left: 0, top: y, width: 340, height: rimHeight }),
    words ? `Rim against target at 12, 3, 6 and 9 o'clock: ${words}` : 'The rim was not checked',
  );
  drawTarget(paper, cover, units, y);
  y += rimHeight + 8;
  for (const row of cover.rows) {
    const height = rowHeight(paper, row.text, row.said);
    const at = y;
    paper.tag('P', () => {
      paper.line(0, at, frame.width, at, { weight: 0.4 });
      paper.say(row.name, { x: 0, y: at + 10, size: rowSize, face: 'strong', fit: nameWidth - 4 });
      paper.set([row.text], {
        x: nameWidth,
        y: at + 10,
        width: textWidth,
        size: rowSize,
        leading,
        face: row.isMissing ? 'strong' : 'text',
      });
      drawSaid(paper, row.said, { y: at + 9, units });
    });
    y += height;
  }
  drawPhotos(paper, cover, y + 4);
}

function drawBlockHead(paper: Paper, cover: PackCover, units: PaperUnits, top: number): void {
  const { structure, verdict } = cover;
  const word = verdictWords[verdict.state];
  const wide = paper.width(word, 13, 'display') + 18;
  paper.tag('H2', () => {
    paper.line(0, top, frame.width, top, { weight: 2 });
    paper.say(structure.id, { x: 0, y: top + 20, size: 18, face: 'display', fit: frame.width - wide - 12 });
  });
  paper.tag('P', () => {
    const x = frame.width - wide;
    paper.box(
      x,
      top + 6,
      wide,
      19,
      verdict.state === 'accepted'
        ? { weight: 1 }
        : { weight: 2.2, ...(verdict.state === 'notChecked' ? { dash: [4, 2.5] } : {}) },
    );
    paper.say(word, { x: x + wide / 2, y: top + 20, size: 13, face: 'display', align: 'centre' });
    const place = [structure.street, stationWords(cover.stationM, units), offsetWords(cover.offsetM, units)]
      .filter(Boolean)
      .join(', ');
    const what = [structure.owner, kindWords(structure.kind)].filter(Boolean).join(', ');
    paper.say([place, what].filter(Boolean).join('. '), {
      x: 0,
      y: top + 35,
      size: 9.5,
      fit: frame.width - (verdict.said ? 190 : 0),
    });
    if (verdict.said) {
      const { by, deviceTime, receivedAt } = verdict.said;
      paper.say(`${by}, ${momentText(deviceTime, units)}`, {
        x: frame.width,
        y: top + 33.5,
        size: 8,
        align: 'right',
        fit: 184,
      });
      paper.say(`received ${momentText(receivedAt, units)}`, {
        x: frame.width,
        y: top + 42,
        size: 8,
        align: 'right',
        fit: 184,
      });
    }
  });
}

const methodWords = { string: 'string', level: 'level', totalStation: 'total station', gnss: 'GNSS' };

function drawTarget(paper: Paper, { structure, plan, rim }: PackCover, units: PaperUnits, top: number): void {
  const x = 356;
  const width = frame.width - x;
  const lines: [string, string][] = [];
  if (plan?.finished) {
    lines.push([
      'Target at the centre',
      formatElevation(plan.finished.elevationM - structure.setDownM, units.elevation),
    ]);
    if (structure.setDownM !== 0) lines.push(['Set down', small(structure.setDownM, units)]);
    lines.push(['Target is sure to', `± ${small(2 * plan.finished.sigmaRimM, units)} at the rim (2 sigma)`]);
    lines.push(['Plan', `${plan.revision}`]);
  } else lines.push(['Target', 'no plan: none known']);
  if (rim) {
    const { method, sigmaM, rimErrorsM } = rim.facts;
    lines.push(
      ['Most proud', proudLow(Math.max(...rimErrorsM), units)],
      ['Lowest', proudLow(Math.min(...rimErrorsM), units)],
    );
    lines.push(['Measured by', `${methodWords[method]}, ± ${small(2 * sigmaM, units)} (2 sigma)`]);
  }
  let y = top + 10;
  for (const [name, value] of lines) {
    const at = y;
    paper.tag('P', () => {
      paper.say(name, { x, y: at, size: 8.5, fit: 74 });
      paper.say(value, { x: x + 78, y: at, size: 9, face: 'figure', fit: width - 78 });
    });
    y += 12.5;
  }
  if (!rim) return;
  paper.tag('P', () => {
    paper.say(`${rim.by}, ${momentText(rim.deviceTime, units)}`, { x, y, size: 8, fit: width });
    paper.say(`received ${momentText(rim.receivedAt, units)}`, { x, y: y + 9.5, size: 8, fit: width });
  });
}

function drawSaid(paper: Paper, said: SaidBy | null, { y, units }: { y: number; units: PaperUnits }): void {
  if (!said) return;
  paper.say(`${said.by}, ${momentText(said.deviceTime, units)}`, {
    x: frame.width,
    y,
    size: 8,
    align: 'right',
    fit: saidWidth,
  });
  paper.say(`received ${momentText(said.receivedAt, units)}`, {
    x: frame.width,
    y: y + 9.5,
    size: 8,
    align: 'right',
    fit: saidWidth,
  });
}

function drawPhotos(paper: Paper, { photos, structure }: PackCover, top: number): void {
  const width = 100;
  for (const [index, photo] of photos.slice(0, 5).entries()) {
    const { caption } = photo;
    const x = index * (width + 6.7);
    paper.tag(
      'Figure',
      () => drawPhoto(paper, photo, { x, y: top, width, height: photoHeight - 12 }),
      caption || `Photo of ${structure.id}`,
    );
    paper.tag('Caption', () =>
      paper.set([caption], { x, y: top + photoHeight - 4, width, size: 7, most: 1 }),
    );
  }
}
