import PDFDocument from 'pdfkit';
import type { Face } from './faces.ts';
import { Letters, type Run } from './letters.ts';
import { frame, type PaperSize, pointsOf } from './paperSize.ts';

type Document = typeof PDFDocument.prototype;
type Structure = ReturnType<Document['struct']>;

export interface PaperOptions {
  title: string;
  size: PaperSize;
  /** When it is printed: the only thing in the file that is not a matter of its data. */
  printedAt: Date;
}

export interface Saying {
  x: number;
  /** Of the baseline. */
  y: number;
  size: number;
  face?: Face;
  align?: 'left' | 'right' | 'centre';
  /** Greatest width; a longer text is set smaller. */
  fit?: number;
}

export interface Setting {
  x: number;
  /** Of the first baseline. */
  y: number;
  width: number;
  size: number;
  face?: Face;
  /** From baseline to baseline, in sizes. */
  leading?: number;
  /** Greatest number of lines; a longer text is set smaller, down to 6 points, then cut with an ellipsis. */
  most?: number;
}

export interface Stroke {
  weight?: number;
  dash?: number[];
}

type Word = { text: string; face: Face; width: number; glued: boolean }[];

/** Pages to draw on in points, from the top left corner of the frame that A4 and Letter share. Black on white. */
export class Paper {
  readonly doc: Document;
  readonly #letters: Letters;
  readonly #size: PaperSize;
  #section: Structure | null = null;
  #pages = 0;

  constructor({ title, size, printedAt }: PaperOptions) {
    this.#size = size;
    this.doc = new PDFDocument({
      size: [...pointsOf[size]],
      margin: 0,
      autoFirstPage: false,
      // No default face: only ours are embedded.
      font: null as unknown as string,
      pdfVersion: '1.7',
      lang: 'en',
      tagged: true,
      displayTitle: true,
      info: {
        Title: title,
        Creator: 'Rimplane',
        Producer: 'Rimplane',
        CreationDate: printedAt,
        ModDate: printedAt,
      },
    });
    this.#letters = new Letters(this.doc);
  }

  get pages(): number {
    return this.#pages;
  }

  /** A new page and its part of the structure; `title` names it in the outline. */
  page(title: string): void {
    this.#endPage();
    this.doc.addPage();
    this.#pages += 1;
    const [width, height] = pointsOf[this.#size];
    this.doc.translate((width - frame.width) / 2, (height - frame.height) / 2);
    this.#section = this.doc.struct('Sect', { title });
    this.doc.addStructure(this.#section);
    this.doc.outline.addItem(title);
  }

  /** Writes out the last page, the fonts and the table of contents. */
  end(): void {
    this.#endPage();
    this.doc.end();
  }

  #endPage(): void {
    this.#section?.end();
    this.#section = null;
  }

  /** One element of the reading order: P, H1, H2, Figure with its words in `alt`, ... */
  tag(type: string, draw: () => void, alt?: string): void {
    this.#section!.add(this.doc.struct(type, alt === undefined ? {} : { alt }, [draw]));
  }

  width(text: string, size: number, face: Face = 'text'): number {
    return this.#letters.width(text, face, size);
  }

  /** One line; gives its width. */
  say(text: string, { x, y, size, face = 'text', align = 'left', fit }: Saying): number {
    const full = this.width(text, size, face);
    const used = fit !== undefined && full > fit ? (size * fit) / full : size;
    const width = this.width(text, used, face);
    this.doc.fillColor('black');
    let at = align === 'right' ? x - width : align === 'centre' ? x - width / 2 : x;
    for (const piece of this.#letters.pieces(text, face)) {
      this.#letters.draw(piece, { x: at, y, size: used });
      at += this.#letters.pieceWidth(piece, used);
    }
    return width;
  }

  /** Lines of a width; gives the baseline of a line after the last. */
  set(runs: readonly Run[], setting: Setting): number {
    const { x, y, width, face = 'text', leading = 1.28, most = Infinity } = setting;
    let { size } = setting;
    let lines = this.#wrap(runs, { face, size, width });
    while (lines.length > most && size > 6) {
      size -= 0.5;
      lines = this.#wrap(runs, { face, size, width });
    }
    const kept = lines.slice(0, most);
    const gap = this.width(' ', size, face);
    kept.forEach((line, index) => {
      let at = x;
      line.forEach((word, place) => {
        if (place > 0) at += gap;
        for (const part of word)
          at += this.say(part.text, { x: at, y: y + index * size * leading, size, face: part.face });
      });
      if (index === most - 1 && lines.length > most)
        this.say('…', { x: at, y: y + index * size * leading, size, face });
    });
    return y + kept.length * size * leading;
  }

  /** Height of lines of a width. */
  height(
    runs: readonly Run[],
    { width, size, face = 'text', leading = 1.28 }: Pick<Setting, 'width' | 'size' | 'face' | 'leading'>,
  ): number {
    return this.#wrap(runs, { face, size, width }).length * size * leading;
  }

  #wrap(runs: readonly Run[], { face, size, width }: { face: Face; size: number; width: number }): Word[][] {
    const gap = this.width(' ', size, face);
    const lines: Word[][] = [];
    let line: Word[] = [];
    let used = 0;
    for (const word of this.#words(runs, face, { size, width })) {
      const wide = word.reduce((sum, part) => sum + part.width, 0);
      if (line.length > 0 && used + gap + wide > width) {
        lines.push(line);
        line = [];
        used = 0;
      }
      used += (line.length > 0 ? gap : 0) + wide;
      line.push(word);
    }
    if (line.length > 0) lines.push(line);
    return lines;
  }

  /** Words with their widths; one that is wider than the line is cut where it has to be. */
  #words(runs: readonly Run[], face: Face, { size, width }: { size: number; width: number }): Word[] {
    const words: Word[] = [];
    let glued = false;
    for (const run of runs) {
      const own = typeof run === 'string' ? { text: run, face } : run;
      own.text.split(/[ \n\t]+/).forEach((text, index) => {
        if (index > 0) glued = false;
        if (text === '') return;
        for (const [place, part] of this.#fitting(text, own.face, { size, width }).entries()) {
          const piece = { text: part, face: own.face, width: this.width(part, size, own.face), glued };
          if (glued && place === 0 && words.length > 0) words.at(-1)!.push(piece);
          else words.push([piece]);
        }
        glued = true;
      });
    }
    return words;
  }

  #fitting(text: string, face: Face, { size, width }: { size: number; width: number }): string[] {
    if (this.width(text, size, face) <= width) return [text];
    const parts: string[] = [''];
    for (const letter of text) {
      const longer = parts.at(-1)! + letter;
      if (this.width(longer, size, face) <= width) parts[parts.length - 1] = longer;
      else parts.push(letter);
    }
    return parts;
  }

  line(x1: number, y1: number, x2: number, y2: number, { weight = 0.8, dash }: Stroke = {}): void {
    this.doc.save().lineWidth(weight).strokeColor('black');
    if (dash) this.doc.dash(dash[0], { space: dash[1] ?? dash[0] });
    this.doc.moveTo(x1, y1).lineTo(x2, y2).stroke().restore();
  }

  box(x: number, y: number, width: number, height: number, { weight = 1, dash }: Stroke = {}): void {
    this.doc.save().lineWidth(weight).strokeColor('black');
    if (dash) this.doc.dash(dash[0], { space: dash[1] ?? dash[0] });
    this.doc.rect(x, y, width, height).stroke().restore();
  }

  /** White, so that what is set there stands clear of what is drawn under it. */
  blank(x: number, y: number, width: number, height: number): void {
    this.doc.save().fillColor('white').rect(x, y, width, height).fill().restore();
  }

  /** Outline of an SVG path, filled or not. */
  shape(path: string, { weight = 0.8, dash, fill }: Stroke & { fill?: 'black' | 'white' } = {}): void {
    this.doc.save().lineWidth(weight).lineJoin('round');
    if (dash) this.doc.dash(dash[0], { space: dash[1] ?? dash[0] });
    this.doc.path(path);
    if (fill) this.doc.fillAndStroke(fill, 'black', 'even-odd');
    else this.doc.strokeColor('black').stroke();
    this.doc.restore();
  }

  /** Slanted lines within a path, between `left` and `right`, `top` and `bottom`; `mirrored`: falling to the right. */
  hatch(
    path: string,
    { left, top, right, bottom }: Room,
    { step = 3, weight = 0.6, mirrored = false }: { step?: number; weight?: number; mirrored?: boolean } = {},
  ): void {
    const tall = bottom - top;
    const [from, to] = mirrored ? [top, bottom] : [bottom, top];
    this.doc.save().path(path).clip('even-odd').lineWidth(weight).strokeColor('black');
    for (let x = left - tall; x < right; x += step) this.doc.moveTo(x, from).lineTo(x + tall, to);
    this.doc.stroke().restore();
  }

  /** Dots within a path: lines of nothing but round ends. */
  dots(path: string, { left, top, right, bottom }: Room, step = 4): void {
    this.doc.save().path(path).clip('even-odd').lineWidth(1.1).lineCap('round').strokeColor('black');
    this.doc.dash(0.01, { space: step - 0.01 });
    for (let y = top, row = 0; y < bottom; y += step * 0.8, row += 1) {
      this.doc.moveTo(left + ((row % 2) * step) / 2, y).lineTo(right, y);
    }
    this.doc.stroke().restore();
  }
}

export interface Room {
  left: number;
  top: number;
  right: number;
  bottom: number;
}
