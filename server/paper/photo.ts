import type { Paper } from './paper.ts';
import type { SheetPhoto } from './sheet/types.ts';

export const tooLarge = (bytes: number): string =>
  `The photo is too large to print (${(bytes / 1e6).toFixed(1)} MB): see the card.`;

interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** Larger pictures stay on the card: a document of many would be hundreds of megabytes. */
export const largestPhoto = 4 * 2 ** 20;

/**
 * Why a picture cannot be put into a document as its bytes are; null where it can. JPEG can, and PNG without transparency
 * and interlacing: whatever would have to be decoded is left on the card.
 */
export function unfitPhoto(bytes: Buffer): string | null {
  if (bytes.length > largestPhoto) return tooLarge(bytes.length);
  if (bytes.subarray(0, 3).equals(Buffer.from([0xff, 0xd8, 0xff]))) return null;
  if (isPlainPng(bytes)) return null;
  return 'The photo is of a kind that does not print: see the card.';
}

const pngMark = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);

/** Grey, colour or palette without an alpha channel, transparent colours or interlacing (W3C PNG, 11.2). */
function isPlainPng(bytes: Buffer): boolean {
  if (bytes.length < 33 || !bytes.subarray(0, 8).equals(pngMark)) return false;
  const [colourType, interlace] = [bytes[25], bytes[28]];
  if (![0, 2, 3].includes(colourType) || interlace !== 0) return false;
  for (let at = 8; at + 12 <= bytes.length; at += 12 + bytes.readUInt32BE(at)) {
    const name = bytes.toString('latin1', at + 4, at + 8);
    if (name === 'tRNS') return false;
    if (name === 'IDAT') return bytes.subarray(-8, -4).toString('latin1') === 'IEND';
  }
  return false;
}

/** A picture that fills its box, grey whatever it was; words in its place where it cannot be printed. */
export function drawPhoto(paper: Paper, { bytes, why }: SheetPhoto, box: Box): void {
  const said = bytes ? (unfitPhoto(bytes) ?? placed(paper, bytes, box)) : (why ?? 'No photo.');
  paper.box(box.x, box.y, box.width, box.height);
  if (said)
    paper.set([said], {
      x: box.x + 6,
      y: box.y + 14,
      width: box.width - 12,
      size: Math.min(10, box.width / 12),
    });
}

/** White laid over it takes the colours out and keeps the lightness (blend mode Saturation, ISO 32000-1, 11.3.5.3). */
function placed(paper: Paper, bytes: Buffer, { x, y, width, height }: Box): string | null {
  const { doc } = paper;
  doc.save().rect(x, y, width, height).clip();
  try {
    doc.image(bytes, x, y, { cover: [width, height], align: 'center', valign: 'center' });
  } catch {
    // A cut or broken picture must not take the sheet with it.
    doc.restore();
    return 'The photo is damaged and does not print: see the card.';
  }
  doc.restore();
  // Wider than the picture, whose edge is half clear and would keep half its colour.
  doc.save();
  const state = doc.ref({ Type: 'ExtGState', BM: 'Saturation' });
  (doc.page as unknown as { ext_gstates: Record<string, unknown> }).ext_gstates.Grey = state;
  (doc as unknown as { addContent(content: string): void }).addContent('/Grey gs');
  doc
    .fillColor('white')
    .rect(x - 2, y - 2, width + 4, height + 4)
    .fill();
  state.end();
  doc.restore();
  return null;
}
