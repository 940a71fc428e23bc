import { rimErrorFrom, rimRound } from '#core/drawing/rim.ts';
import { scaleFrom } from '#core/drawing/scale.ts';
import type { Paper } from '../paper.ts';
import { nominalSize, type PaperUnits, small } from '../units.ts';
import { clockNames } from '../words.ts';
import type { PackCover } from './types.ts';

interface Place {
  left: number;
  top: number;
  width: number;
  height: number;
}

/** Rim as checked against its target round the clock: the band is what is allowed, bars are 2 sigma of a measurement. */
export function drawRim(
  paper: Paper,
  cover: PackCover,
  units: PaperUnits,
  { left, top, width, height }: Place,
): void {
  const { rim, allowed } = cover;
  const errors = rim?.facts.rimErrorsM ?? null;
  const twoSigma = 2 * (rim?.facts.sigmaM ?? 0);
  const most = Math.max(
    allowed.proudM,
    allowed.lowM,
    0.001,
    ...(errors ?? []).map((error) => Math.abs(error) + twoSigma),
  );
  const x = scaleFrom([0, 12], [left + 52, left + width - 8]);
  const y = scaleFrom([-most * 1.25, most * 1.25], [top + height - 16, top + 4]);
  const edges = [allowed.proudM, -allowed.lowM];
  const [from, to] = [x(0), x(12)];
  const band = `M${from} ${y(edges[0])}L${to} ${y(edges[0])}L${to} ${y(edges[1])}L${from} ${y(edges[1])}Z`;
  paper.hatch(
    band,
    { left: from, top: y(edges[0]), right: to, bottom: y(edges[1]) },
    { step: 9, weight: 0.2 },
  );
  for (const edge of edges) paper.line(from, y(edge), to, y(edge), { weight: 0.8, dash: [3, 2] });
  paper.line(from, y(0), to, y(0), { weight: 1.8 });
  const edge = (metres: number, word: string) =>
    paper.say(`${nominalSize(metres, units.smallUnit)} ${word}`, {
      x: from - 5,
      y: y(word === 'proud' ? metres : -metres) + (metres === 0 ? (word === 'proud' ? -2 : 9) : 3),
      size: 8,
      align: 'right',
    });
  if (allowed.proudM > 0 || allowed.lowM > 0)
    paper.say('target', { x: from - 5, y: y(0) + 3, size: 8, face: 'strong', align: 'right' });
  if (allowed.proudM > 0) edge(allowed.proudM, 'proud');
  if (allowed.lowM > 0) edge(allowed.lowM, 'low');
  for (const [index, name] of [...clockNames(cover.roadBearingDeg, cover.offsetM), ''].entries()) {
    paper.line(x(index * 3), top + height - 16, x(index * 3), top + height - 13, { weight: 0.7 });
    const align = index === 0 ? 'left' : 'centre';
    if (name) paper.say(name, { x: x(index * 3), y: top + height - 4, size: 8, align });
  }
  if (!errors) {
    paper.say('NOT CHECKED', { x: (from + to) / 2, y: y(0) - 6, size: 12, face: 'display', align: 'centre' });
    return;
  }
  const line = rimRound(rimErrorFrom(errors), 0).map(
    ({ hour, error }) => `${x(hour).toFixed(1)} ${y(error).toFixed(1)}`,
  );
  paper.shape(`M${line.join('L')}`, { weight: 1.2 });
  for (const [index, error] of [...errors, errors[0]].entries())
    drawPoint(paper, error, { x: x(index * 3), y, twoSigma, units, isLast: index === 4 });
}

interface Point {
  x: number;
  y: (error: number) => number;
  twoSigma: number;
  units: PaperUnits;
  isLast: boolean;
}

function drawPoint(paper: Paper, error: number, { x, y, twoSigma, units, isLast }: Point): void {
  if (twoSigma > 0) {
    paper.line(x, y(error - twoSigma), x, y(error + twoSigma), { weight: 0.9 });
    for (const end of [-1, 1])
      paper.line(x - 2.5, y(error + end * twoSigma), x + 2.5, y(error + end * twoSigma), { weight: 0.9 });
  }
  paper.doc.save().fillColor('black').circle(x, y(error), 2.6).fill().restore();
  if (isLast) return;
  const above = error >= 0;
  const place = { x: x + 5, y: y(error) + (above ? -5 : 11), size: 8.5 };
  const said = proudLow(error, units);
  paper.blank(place.x - 1.5, place.y - 7.5, paper.width(said, 8.5, 'display') + 3, 10);
  paper.say(said, { ...place, face: 'display' });
}

/** `1⁄8 in proud`, `2 mm low`, `flush`. */
export function proudLow(error: number, units: PaperUnits): string {
  const size = small(Math.abs(error), units);
  if (Number.parseFloat(size) === 0 && !size.includes('⁄')) return 'flush';
  return `${size} ${error > 0 ? 'proud' : 'low'}`;
}
