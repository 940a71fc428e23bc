import { spawnSync } from 'node:child_process';
import { hasPoppler } from './poppler.ts';

export { hasPoppler };

const run = (command: string, args: string[], input: Buffer): string => {
  const { status, stdout, stderr, error } = spawnSync(command, args, { input, maxBuffer: 64 * 2 ** 20 });
  if (error || status !== 0) throw error ?? new Error(`${command}: ${stderr}`);
  return stdout.toString('utf8');
};

if (!hasPoppler) {
  if (process.env.CI === 'true') throw new Error('CI=true and no poppler found: the tests of paper must run');
  console.warn('No poppler found: what reads PDFs is skipped. Install poppler-utils.');
}

export interface PdfInfo {
  title: string;
  pages: number;
  /** Points. */
  size: [width: number, height: number];
  isTagged: boolean;
}

export function infoOf(bytes: Buffer): PdfInfo {
  const text = run('pdfinfo', ['-'], bytes);
  const field = (name: string) => new RegExp(`^${name}:\\s+(.*)$`, 'm').exec(text)?.[1] ?? '';
  const [width, height] = field('Page size')
    .split(/ x | pts/)
    .map(Number);
  return {
    title: field('Title'),
    pages: Number(field('Pages')),
    size: [width, height],
    isTagged: field('Tagged') === 'yes',
  };
}

/** Text in the order in which it was drawn, a page or all; runs of white space as one space. */
export function textOf(bytes: Buffer, page?: number): string {
  const only = page === undefined ? [] : ['-f', String(page), '-l', String(page)];
  return run('pdftotext', [...only, '-raw', '-enc', 'UTF-8', '-', '-'], bytes).replace(/\s+/g, ' ');
}

export interface PdfWord {
  text: string;
  page: number;
  left: number;
  top: number;
  right: number;
  bottom: number;
}

/** Every word with its box, points from the top left corner of its page. */
export function wordsOf(bytes: Buffer): PdfWord[] {
  const words: PdfWord[] = [];
  let page = 0;
  for (const line of run('pdftotext', ['-bbox', '-enc', 'UTF-8', '-', '-'], bytes).split('\n')) {
    if (line.includes('<page ')) page += 1;
    const found =
      /<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*)<\/word>/.exec(line);
    if (!found) continue;
    const [left, top, right, bottom] = found.slice(1, 5).map(Number);
    words.push({ text: found[5], page, left, top, right, bottom });
  }
  return words;
}

/**
 * The first page as it prints at 50 dots an inch: how far red, green and blue differ at most (0 to 255), and how many dots
 * are neither near black nor near white.
 */
export function coloursOf(bytes: Buffer): { mostSaturated: number; greys: number } {
  const { stdout, status } = spawnSync('pdftoppm', ['-r', '50', '-l', '1', '-'], {
    input: bytes,
    maxBuffer: 64 * 2 ** 20,
  });
  if (status !== 0) throw new Error('pdftoppm failed');
  const head = /^P6\s+\d+\s+\d+\s+\d+\s/.exec(stdout.subarray(0, 60).toString('latin1'));
  if (!head) throw new Error('no picture');
  const dots = stdout.subarray(head[0].length);
  let mostSaturated = 0;
  let greys = 0;
  for (let at = 0; at + 2 < dots.length; at += 3) {
    const [red, green, blue] = [dots[at], dots[at + 1], dots[at + 2]];
    mostSaturated = Math.max(mostSaturated, Math.max(red, green, blue) - Math.min(red, green, blue));
    if (red > 50 && red < 205) greys += 1;
  }
  return { mostSaturated, greys };
}
