import type { PaperSize } from '../../../server/paper/paperSize.ts';
import { type DrawPages, printPages } from '../../../server/paper/print.ts';
import { exampleSetting } from './example.ts';

/** All bytes of a document with these pages. */
export async function printAll(
  pages: Iterable<DrawPages> | AsyncIterable<DrawPages>,
  { title = 'Example', size = 'letter' as PaperSize, printedAt = exampleSetting.printedAt } = {},
): Promise<Buffer> {
  async function* all() {
    yield* pages;
  }
  const parts: Buffer[] = [];
  for await (const part of printPages({ title, size, printedAt }, all())) parts.push(part);
  return Buffer.concat(parts);
}
