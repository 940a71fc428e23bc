import type { Problem } from '../../problem.ts';
import { fault } from '../faults.ts';
import { encodingOfMark, plainHead } from '../textChunks.ts';

/** A line of a drawing file is at most some hundred characters; far longer ones are something else. */
const longestLine = 65_536;

/** Takes one pair of a group code and its value; `row` is the line of the value. False: read no further. */
export type TakePair = (code: number, value: string, row: number) => boolean;

/** Cuts text, as it comes, into the pairs of lines that an ASCII DXF file is made of. */
export class PairCutter {
  readonly #take: TakePair;
  readonly #lineEnd: string;
  #rest = '';
  #code: number | null = null;
  #row = 0;
  #stopped = false;
  #fault: Problem | null = null;

  constructor(lineEnd: '\n' | '\r', take: TakePair) {
    this.#lineEnd = lineEnd;
    this.#take = take;
  }

  get row(): number {
    return this.#row;
  }

  /** True when nothing more is wanted: a fault, or the taker has what it needs. */
  get stopped(): boolean {
    return this.#stopped;
  }

  get fault(): Problem | null {
    return this.#fault;
  }

  write(text: string): void {
    const whole = this.#rest + text;
    let from = 0;
    while (!this.#stopped) {
      const end = whole.indexOf(this.#lineEnd, from);
      if (end < 0) break;
      this.#line(whole.slice(from, end));
      from = end + 1;
    }
    this.#rest = whole.slice(from);
    if (this.#rest.length > longestLine && !this.#stopped)
      this.#stop(
        'lineTooLong',
        null,
        `a line is longer than ${longestLine} characters, as none of a DXF file is`,
      );
  }

  close(): void {
    if (!this.#stopped && this.#rest !== '') this.#line(this.#rest);
  }

  #line(text: string): void {
    this.#row++;
    if (this.#code !== null) {
      const code = this.#code;
      this.#code = null;
      const value = text.endsWith('\r') ? text.slice(0, -1) : text;
      if (!this.#take(code, value, this.#row)) this.#stopped = true;
      return;
    }
    const code = Number(text);
    if (Number.isInteger(code) && code >= -5 && code <= 9999 && text.trim() !== '') this.#code = code;
    // Blank lines may follow the end.
    else if (text.trim() !== '')
      this.#stop('notAGroupCode', text.trim(), 'a group code is wanted here: the file is damaged or no DXF');
  }

  #stop(code: string, value: string | null, message: string): void {
    this.#fault = fault({ code, row: Math.max(1, this.#row), value, message });
    this.#stopped = true;
  }
}

/** Code pages of drawings before the 2007 format, which is in UTF-8. */
const codePages: Readonly<Record<string, string>> = {
  ANSI_874: 'windows-874',
  ANSI_932: 'shift_jis',
  ANSI_936: 'gbk',
  ANSI_949: 'euc-kr',
  ANSI_950: 'big5',
};

/** First version of the format in UTF-8. */
const firstUtf8 = 'AC1021';

/** How the text is encoded and where its lines end, from the first bytes. */
export function dxfText(head: Uint8Array): { encoding: string; lineEnd: '\n' | '\r' } {
  const text = plainHead(head);
  const variable = (name: string, code: number) =>
    new RegExp(`\\$${name}[ \\t]*\\r?[\\n\\r][ \\t]*${code}[ \\t]*\\r?[\\n\\r][ \\t]*(\\w+)`).exec(
      text,
    )?.[1] ?? '';
  const version = variable('ACADVER', 1);
  const page = variable('DWGCODEPAGE', 3).toUpperCase();
  const western = /^ANSI_(125\d)$/.exec(page)?.[1] ?? '1252';
  const byPage = codePages[page] ?? `windows-${western}`;
  const marked = encodingOfMark(head);
  const encoding = marked ?? (version >= firstUtf8 ? 'utf-8' : byPage);
  return { encoding, lineEnd: text.includes('\n') ? '\n' : '\r' };
}
