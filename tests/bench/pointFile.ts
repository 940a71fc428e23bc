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
  return [
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
