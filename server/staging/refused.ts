import { once } from 'node:events';
import { createReadStream, createWriteStream, type WriteStream } from 'node:fs';
import { rm } from 'node:fs/promises';
import { createInterface } from 'node:readline';
import { splitLine } from '#core/intake/delimited/dialect.ts';
import { textBlocks } from '#core/intake/delimited/text.ts';
import type { DelimitedFile } from '#core/intake/delimited.ts';
import type { ByteSource, OpenedFile } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import { forEachLine } from '#core/survey/fields.ts';
import type { UploadFolder } from '../uploads/folder.ts';

/** Problems shown in a preview. */
const mostShown = 200;

/**
 * All rows that an import leaves out, however many: they are spooled to disk while the file is read, and put together
 * with the rows themselves when it has been. Each origin names its rows in order; two origins, the reader of the format
 * and the rules of what is stored, are merged.
 */
export class RefusedRows {
  readonly #paths: string[];
  readonly #streams: WriteStream[];
  readonly #last = [0, 0];
  #needsDrain = false;
  /** Rows left out. */
  count = 0;
  /** The first problems. */
  readonly first: Problem[] = [];

  constructor(uploads: UploadFolder, importId: string) {
    this.#paths = [0, 1].map((origin) => uploads.spoolPathOf(importId, origin));
    this.#streams = this.#paths.map((path) => createWriteStream(path, { mode: 0o600 }));
  }

  /** `origin` 0: the reader, 1: what is stored. */
  add(origin: 0 | 1, problem: Problem): void {
    if (problem.row === null) return;
    if (problem.row !== this.#last[origin]) this.count++;
    this.#last[origin] = problem.row;
    if (this.first.length < mostShown) this.first.push(problem);
    if (!this.#streams[origin].write(`${JSON.stringify(problem)}\n`)) this.#needsDrain = true;
  }

  /** Waits for the disk, so that millions of bad rows do not stand in memory. */
  async drain(): Promise<void> {
    if (!this.#needsDrain) return;
    this.#needsDrain = false;
    for (const stream of this.#streams) if (stream.writableNeedDrain) await once(stream, 'drain');
  }

  /** Writes the list to download; without refused rows there is none. */
  async finish(
    uploads: UploadFolder,
    importId: string,
    { file, sources }: { file: OpenedFile; sources: readonly ByteSource[] },
  ): Promise<void> {
    await this.#end();
    if (this.count === 0) {
      await uploads.removeRefused(importId);
    } else {
      const { stream, finish, drop } = await uploads.writeRefused(importId);
      try {
        const text = 'dialect' in file && sources.length === 1 ? sources[0] : null;
        const lines = text ? wholeRows(file as DelimitedFile, text, this.#merged()) : named(this.#merged());
        for await (const line of lines) if (!stream.write(line)) await once(stream, 'drain');
        stream.end();
        await once(stream, 'close');
        await finish();
      } catch (error) {
        stream.destroy();
        await drop();
        throw error;
      }
    }
    await this.drop();
  }

  async drop(): Promise<void> {
    await this.#end();
    for (const path of this.#paths) await rm(path, { force: true });
  }

  async #end(): Promise<void> {
    for (const stream of this.#streams) {
      if (stream.closed) continue;
      if (!stream.writableEnded) stream.end();
      await once(stream, 'close');
    }
  }

  async *#merged(): AsyncGenerator<Problem> {
    const [a, b] = this.#paths.map((path) => spooled(path));
    let [x, y] = [await a.next(), await b.next()];
    while (!x.done || !y.done) {
      const takeFirst = y.done || (!x.done && x.value.row! <= y.value.row!);
      if (takeFirst) {
        yield x.value as Problem;
        x = await a.next();
      } else {
        yield y.value as Problem;
        y = await b.next();
      }
    }
  }
}

async function* spooled(path: string): AsyncGenerator<Problem, undefined> {
  for await (const line of createInterface({ input: createReadStream(path), crlfDelay: Infinity })) {
    yield JSON.parse(line) as Problem;
  }
}

const byteOrderMark = '\uFEFF';

/** Rows of formats that are no lines of text: named, with what is wrong. */
async function* named(problems: AsyncIterable<Problem>): AsyncGenerator<string> {
  yield `${byteOrderMark}${csvLine(['row', 'column', 'value', 'reason'])}`;
  for await (const { row, column, value, message } of problems) {
    yield csvLine([String(row), column ?? '', value ?? '', message]);
  }
}

/** Rows as they stand in the file, under its headings, the reason in a last column. */
async function* wholeRows(
  { dialect, layout, headingRow, layers }: DelimitedFile,
  source: ByteSource,
  problems: AsyncGenerator<Problem>,
): AsyncGenerator<string> {
  const names =
    layout?.columns.map(({ heading }) => heading) ?? layers[0]?.columns.map(({ name }) => name) ?? [];
  yield `${byteOrderMark}${csvLine([...names, 'reason'])}`;
  let next = await problems.next();
  let before = 0;
  for await (const block of textBlocks(source, () => {})) {
    if ('problem' in block) break;
    const { text } = block;
    const lines: { row: number; line: string }[] = [];
    let count = 0;
    forEachLine(text, (start, end, line) => {
      count = line;
      lines.push({ row: before + line, line: text.slice(start, end) });
    });
    before += count;
    for (const { row, line } of lines) {
      const reasons: string[] = [];
      while (!next.done && next.value.row! <= row) {
        if (next.value.row === row) reasons.push(sayReason(next.value));
        next = await problems.next();
      }
      if (reasons.length === 0 || row === headingRow) continue;
      const fields = splitLine(line, dialect.delimiter);
      while (fields.length < names.length) fields.push('');
      yield csvLine([...fields, reasons.join('; ')]);
    }
    if (next.done) return;
  }
}

function sayReason({ row, column, value, message }: Problem): string {
  const where = column === null ? '' : ` ${column}${value ? ` "${value}"` : ''}`;
  return `row ${row}${where}: ${message}`;
}

/** Fields as CSV. Text that a spreadsheet would run as a formula is made text by an apostrophe; numbers are left. */
export function csvLine(fields: readonly string[]): string {
  const cells = fields.map((field) => {
    const isFormula = /^[=+\-@\t\r]/.test(field) && !/^[+-]?[\d.,\s]+$/.test(field);
    const safe = isFormula ? `'${field}` : field;
    return /[",\r\n;\t]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
  });
  return `${cells.join(',')}\r\n`;
}
