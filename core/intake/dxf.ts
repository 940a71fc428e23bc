import { Drawing } from './dxf/drawing.ts';
import { dxfText, PairCutter } from './dxf/pairs.ts';
import { fault } from './faults.ts';
import { headOf, plainHead, textChunks } from './textChunks.ts';
import type { Reader } from './types.ts';

/** Bytes that hold the header variables which say how the rest is encoded. */
const headBytes = 65_536;
/** The mark of a binary drawing file stands in its first bytes. */
const isBinary = (text: string) => text.slice(0, 22).includes('Binary DXF');

/**
 * ASCII DXF of any version by its published group codes: POINT as points, 3DFACE and polyface meshes as surfaces a
 * layer, LINE, ARC, POLYLINE and LWPOLYLINE as lines. Entities in paper space and inside blocks are no survey.
 */
export const dxfReader: Reader = {
  format: 'dxf',
  label: 'DXF',
  extensions: ['dxf'],

  recognises(name, head) {
    const text = plainHead(head);
    if (isBinary(text)) return 1;
    if (/^\D{0,3}(?:\s*999\s*[\r\n]+[^\r\n]*[\r\n]+)*\s*0\s*[\r\n]+\s*SECTION\s*[\r\n]/.test(text)) return 1;
    return /\.dxf$/i.test(name) ? 0.4 : 0;
  },

  async open([source]) {
    const head = await headOf(source, headBytes);
    if (isBinary(plainHead(head.subarray(0, 22))))
      return fault({
        code: 'binaryDxf',
        message: 'a binary DXF file is not read; save it as ASCII (text) DXF',
      });
    const { encoding, lineEnd } = dxfText(head);
    const drawing = new Drawing();
    const cutter = new PairCutter(lineEnd, drawing.take);
    for await (const text of textChunks(source, encoding)) {
      cutter.write(text);
      if (cutter.stopped) break;
    }
    cutter.close();
    return cutter.fault ?? drawing.finish();
  },
};
