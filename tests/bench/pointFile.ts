import { openDelimited } from '#core/intake/delimited.ts';
import type { ByteSource } from '#core/intake/types.ts';
import { readPnezd } from '#core/survey/pnezd.ts';
import { seeded } from '../helpers/corridor.ts';
import type { BenchCase } from './types.ts';

export function pointFileCases(): BenchCase[] {
  const random = seeded(5);
  const rows = 300_000;
  const line = (i: number) => {
    const [n, e, z] = [560_000 + 5000 * random(), 1_430_000 + 5000 * random(), 740 + 20 * random()];
    return `${1000 + i},${n.toFixed(3)},${e.toFixed(3)},${z.toFixed(3)},${i % 5 === 0 ? 'CL' : 'FG'}`;
  };
  const text = `${Array.from({ length: rows }, (_, i) => line(i)).join('\n')}\n`;
  const bytes = new TextEncoder().encode(text);
  return [
    fromChunks(bytes, rows),
    {
      name: 'PNEZD point file',
      count: rows,
      unit: 'rows',
      work: () => {
        readPnezd(text, { metresPerUnit: 0.3048, elevationMetresPerUnit: 0.3048 });
      },
      plain: {
        name: 'split on line ends and commas, Number()',
        count: rows,
        work: () => {
          text.split('\n').map((row) => {
            const [point, north, east, elevation, code] = row.split(',');
            return { point, north: Number(north), east: Number(east), elevation: Number(elevation), code };
          });
        },
      },
    },
  ];
}

/** 5 million rows: the same ones over and over, so that the bench itself holds no more than they take. */
const chunkRows = 5_000_000;
const chunkBytes = 1 << 18;

function fromChunks(bytes: Uint8Array, rows: number): BenchCase {
  const times = Math.ceil(chunkRows / rows);
  const source: ByteSource = {
    name: 'shots.csv',
    size: bytes.length * times,
    bytes: async (offset, length) => bytes.subarray(offset, offset + length),
    async *chunks() {
      for (let time = 0; time < times; time++) {
        for (let at = 0; at < bytes.length; at += chunkBytes) yield bytes.subarray(at, at + chunkBytes);
      }
    },
  };
  return {
    name: 'delimited reader, 5 million rows in chunks',
    count: rows * times,
    unit: 'rows',
    aim: '1 million rows/s',
    work: async () => {
      const file = await openDelimited(source);
      if ('code' in file) throw new Error(file.message);
      let read = 0;
      for await (const batch of file.points[0].shots()) read += batch.length;
      if (read !== rows * times) throw new Error(`${read} rows read of ${rows * times}`);
    },
    plain: {
      name: 'decode, split on line ends and commas, Number()',
      count: rows,
      work: () => {
        const text = new TextDecoder().decode(bytes);
        for (const row of text.split('\n')) {
          const [, north, east, elevation] = row.split(',');
          if (Number(north) + Number(east) + Number(elevation) === 0) throw new Error(row);
        }
      },
    },
  };
}
