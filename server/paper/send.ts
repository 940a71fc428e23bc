import { Readable } from 'node:stream';
import type { FastifyReply } from 'fastify';
import { HttpProblem } from '../http-problem.ts';
import type { PaperOptions } from './paper.ts';
import { type DrawPages, printPages } from './print.ts';

/** Documents that are drawn at the same time in one server; each holds the fonts and its table of pages. */
const mostAtOnce = 6;
/** A reader who takes nothing for so long is given up. */
const idleMs = 60_000;

let open = 0;

/** Answers with a document that is drawn as it is read. Throws 503 while too many are. */
export function sendPages(
  reply: FastifyReply,
  { name, ...options }: PaperOptions & { name: string },
  pages: AsyncIterable<DrawPages>,
): FastifyReply {
  if (open >= mostAtOnce) {
    throw new HttpProblem(
      503,
      `${mostAtOnce} documents are being printed already: try again in a few seconds.`,
      {
        headers: { 'retry-after': '5' },
      },
    );
  }
  open += 1;
  const stream = Readable.from(printPages(options, pages), { objectMode: false });
  stream.once('close', () => {
    open -= 1;
  });
  reply.raw.setTimeout(idleMs, () => stream.destroy(new Error('nobody takes the document')));
  reply.type('application/pdf').header('content-disposition', `inline; filename="${fileName(name)}"`);
  // A browser's own viewer is an embedded object with styles of its own: the page's policy would leave it blank.
  reply.header('content-security-policy', "frame-ancestors 'none'");
  return reply.send(stream as never);
}

/** Letters, digits and a few marks: nothing that could end the header or climb a folder. */
function fileName(name: string): string {
  return `${name.replace(/[^A-Za-z0-9 _-]+/g, '_').slice(0, 80)}.pdf`;
}
