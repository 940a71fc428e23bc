import { encode } from 'uqr';
import type { Paper } from './paper.ts';

/** A QR code of a square's side with its quiet zone of four modules (ISO/IEC 18004), as one path. */
export function drawQr(
  paper: Paper,
  text: string,
  { x, y, side }: { x: number; y: number; side: number },
): void {
  const { data, size } = encode(text, { ecc: 'M', border: 4 });
  const module = side / size;
  const { doc } = paper;
  doc.save().fillColor('black');
  data.forEach((row, down) => {
    for (let from = 0; from < size; from += 1) {
      if (!row[from]) continue;
      let to = from;
      while (to < size && row[to]) to += 1;
      doc.rect(x + from * module, y + down * module, (to - from) * module, module);
      from = to;
    }
  });
  doc.fill().restore();
}
