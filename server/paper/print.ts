import { setImmediate as breathe } from 'node:timers/promises';
import { Paper, type PaperOptions } from './paper.ts';

/** Draws one page, or the pages of one thing. */
export type DrawPages = (paper: Paper) => void;

/**
 * The bytes of a document, page by page as they are asked for: what a reader does not take is not drawn, and between
 * pages other requests have their turn.
 */
export async function* printPages(
  options: PaperOptions,
  pages: AsyncIterable<DrawPages>,
): AsyncGenerator<Buffer> {
  const paper = new Paper(options);
  for await (const draw of pages) {
    draw(paper);
    const bytes = paper.doc.read() as Buffer | null;
    if (bytes) yield bytes;
    await breathe();
  }
  paper.end();
  for await (const bytes of paper.doc) yield bytes as Buffer;
}
