import type PDFDocument from 'pdfkit';
import { type Face, faceFiles, fontBytes } from './faces.ts';

/** A piece of a line in one font file. */
export interface Piece {
  text: string;
  font: string;
  /** Set as the lower part of a fraction. */
  isBelow?: true;
}

/** A piece of a text in one face; a plain string is in the text's own. */
export type Run = string | { text: string; face: Face };

interface Glyphs {
  hasGlyphForCodePoint(codePoint: number): boolean;
}

const fraction = /(\d+⁄\d+)/;
/** Size of the lower part of a fraction, and how near the stroke it stands, in ems: as the font has the upper one. */
const below = { size: 0.6, shift: -0.079 };

/** Chooses a font file for every letter of a document, and measures. */
export class Letters {
  readonly #doc: typeof PDFDocument.prototype;
  readonly #glyphs = new Map<string, Glyphs>();

  constructor(doc: typeof PDFDocument.prototype) {
    this.#doc = doc;
  }

  /** Fractions are set in the face whose font builds them; what no font has becomes a question mark. */
  pieces(text: string, face: Face): Piece[] {
    const found: Piece[] = [];
    for (const part of text.split(fraction)) {
      if (part === '') continue;
      if (fraction.test(part)) found.push(...fractionPieces(part, face));
      else if (this.#has(faceFiles[face][0], part)) add(found, { text: part, font: faceFiles[face][0] });
      else for (const letter of part) add(found, this.#letter(letter, face));
    }
    return found;
  }

  width(text: string, face: Face, size: number): number {
    return this.pieces(text, face).reduce((sum, piece) => sum + this.pieceWidth(piece, size), 0);
  }

  pieceWidth({ text, font, isBelow }: Piece, size: number): number {
    this.use(font);
    const width = this.#doc.fontSize(isBelow ? size * below.size : size).widthOfString(text);
    return isBelow ? width + below.shift * size : width;
  }

  /** Draws a piece with its left end at x, on a baseline. */
  draw({ text, font, isBelow }: Piece, { x, y, size }: { x: number; y: number; size: number }): void {
    this.use(font);
    this.#doc
      .fontSize(isBelow ? size * below.size : size)
      .text(text, isBelow ? x + below.shift * size : x, y, { lineBreak: false, baseline: 'alphabetic' });
  }

  use(font: string): void {
    if (!this.#glyphs.has(font)) this.#doc.registerFont(font, fontBytes(font));
    this.#doc.font(font);
    if (!this.#glyphs.has(font)) {
      // The parsed font is not in the library's types, and nothing else tells which letters it has.
      const { _font } = this.#doc as unknown as { _font: { font: Glyphs } };
      this.#glyphs.set(font, _font.font);
    }
  }

  #has(font: string, text: string): boolean {
    this.use(font);
    const glyphs = this.#glyphs.get(font)!;
    return [...text].every((letter) => glyphs.hasGlyphForCodePoint(letter.codePointAt(0)!));
  }

  #letter(letter: string, face: Face): Piece {
    const font = faceFiles[face].find((file) => this.#has(file, letter));
    return font ? { text: letter, font } : { text: '?', font: faceFiles[face][0] };
  }
}

/** The library sets a lower part without its widths, so it is drawn by itself. */
function fractionPieces(text: string, face: Face): Piece[] {
  const own = face === 'strong' ? 'display' : face === 'text' ? 'figure' : face;
  const [upper, lower] = text.split('⁄');
  const [font] = faceFiles[own];
  return [
    { text: `${upper}⁄`, font },
    { text: lower, font, isBelow: true },
  ];
}

function add(pieces: Piece[], piece: Piece): void {
  const last = pieces.at(-1);
  if (last?.font === piece.font && !last.isBelow) last.text += piece.text;
  else pieces.push({ ...piece });
}
