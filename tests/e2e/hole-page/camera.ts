import { randomBytes } from 'node:crypto';
import type { Page } from 'playwright-core';

/**
 * A JPEG as a camera held upright writes it: red above blue, lying on its side, with an orientation of 6 (turn it 90
 * degrees clockwise to show it) and a place, as Exif 2.3 (JEITA CP-3451C) has them.
 */
export async function turnedPicture(page: Page, width: number, height: number): Promise<Buffer> {
  const text = await page.evaluate(
    async ([wide, high]) => {
      const canvas = new OffscreenCanvas(wide, high);
      const pen = canvas.getContext('2d')!;
      pen.fillStyle = 'red';
      pen.fillRect(0, 0, wide, high / 2);
      pen.fillStyle = 'blue';
      pen.fillRect(0, high / 2, wide, high / 2);
      const blob = await canvas.convertToBlob({ type: 'image/jpeg' });
      return Array.from(new Uint8Array(await blob.arrayBuffer()), (byte) => String.fromCharCode(byte)).join(
        '',
      );
    },
    [width, height],
  );
  const picture = Buffer.from(text, 'latin1');
  const notes = exif();
  const head = Buffer.alloc(4);
  head.writeUInt16BE(0xffe1, 0);
  head.writeUInt16BE(notes.length + 2, 2);
  return Buffer.concat([picture.subarray(0, 2), head, notes, picture.subarray(2)]);
}

/** A square PNG of chance, so that the picture drawn from it stays large. */
export async function noisePicture(page: Page, side: number): Promise<Buffer> {
  const text = await page.evaluate(
    ([wide, seed]) => {
      const canvas = document.createElement('canvas');
      canvas.width = canvas.height = wide;
      const pen = canvas.getContext('2d')!;
      const pixels = pen.createImageData(wide, wide);
      let state = seed;
      for (let at = 0; at < pixels.data.length; at++) {
        state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
        pixels.data[at] = at % 4 === 3 ? 255 : state >>> 24;
      }
      pen.putImageData(pixels, 0, 0);
      return canvas.toDataURL('image/png').split(',')[1];
    },
    [side, randomBytes(4).readUInt32BE()],
  );
  return Buffer.from(text, 'base64');
}

/** APP1: a little-endian TIFF whose first directory has tag 0x0112 (orientation) and 0x8825 (the directory of GPS). */
function exif(): Buffer {
  const tiff = Buffer.alloc(64);
  tiff.write('II');
  tiff.writeUInt16LE(42, 2);
  tiff.writeUInt32LE(8, 4);
  tiff.writeUInt16LE(2, 8);
  entry(tiff, 10, { tag: 0x0112, type: 3, count: 1, value: 6 });
  entry(tiff, 22, { tag: 0x8825, type: 4, count: 1, value: 38 });
  tiff.writeUInt16LE(1, 38);
  entry(tiff, 40, { tag: 1, type: 2, count: 2, value: 'N'.charCodeAt(0) });
  return Buffer.concat([Buffer.from('Exif\0\0'), tiff]);
}

interface Entry {
  tag: number;
  type: number;
  count: number;
  value: number;
}

function entry(tiff: Buffer, at: number, { tag, type, count, value }: Entry): void {
  tiff.writeUInt16LE(tag, at);
  tiff.writeUInt16LE(type, at + 2);
  tiff.writeUInt32LE(count, at + 4);
  tiff.writeUInt32LE(value, at + 8);
}
