import { landXmlReader } from '#core/intake/landXml.ts';
import type { ByteSource } from '#core/intake/types.ts';
import { latticeLandXml } from '../helpers/landXmlFile.ts';
import type { BenchCase } from './types.ts';

/** A side of 709 points makes a million faces; the time of a face is the same at any size. */
const side = 317;

export function landXmlCases(): BenchCase[] {
  const text = [...latticeLandXml(side)].join('');
  const bytes = new TextEncoder().encode(text);
  const source: ByteSource = {
    name: 'lattice.xml',
    size: bytes.length,
    bytes: async (offset, length) => bytes.slice(offset, offset + length),
    async *chunks() {
      for (let at = 0; at < bytes.length; at += 262_144) yield bytes.subarray(at, at + 262_144);
    },
  };
  const count = 2 * (side - 1) ** 2;
  return [
    {
      name: 'LandXML triangulated surface',
      count,
      unit: 'faces',
      work: async () => {
        const file = await landXmlReader.open([source]);
        if ('message' in file || file.tins[0].faces.length !== 3 * count)
          throw new Error('the lattice was not read');
      },
      plain: {
        name: 'points and faces cut out by regular expressions',
        count,
        work: () => {
          const points = new Map<string, number[]>();
          for (const [, id, xyz] of text.matchAll(/<P id="(\d+)">([^<]*)<\/P>/g))
            points.set(id, xyz.split(' ').map(Number));
          const faces: (number[] | undefined)[][] = [];
          for (const [, ids] of text.matchAll(/<F>([^<]*)<\/F>/g))
            faces.push(ids.split(' ').map((id) => points.get(id)));
          if (faces.length !== count) throw new Error('the lattice was not read');
        },
      },
      aim: 'at least 50,000 faces/s: a million in 20 s',
    },
  ];
}
