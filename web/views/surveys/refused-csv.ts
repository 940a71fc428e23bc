import type { RefusedRow } from '#shared/import.ts';

/** One record of a CSV text, with the line that it starts on (from 1, as a spreadsheet shows it). */
interface SourceRecord {
  line: number;
  text: string;
}

/** Splits at line ends outside quotes, so that a quoted line break stays in its record. */
export function splitRecords(text: string): SourceRecord[] {
  const records: SourceRecord[] = [];
  let start = 0;
  let line = 1;
  let startLine = 1;
  let isQuoted = false;
  const put = (end: number) =>
    records.push({ line: startLine, text: text.slice(start, end).replace(/\r$/, '') });
  for (let i = 0; i < text.length; i++) {
    if (text[i] === '"') isQuoted = !isQuoted;
    if (text[i] !== '\n') continue;
    line++;
    if (isQuoted) continue;
    put(i);
    start = i + 1;
    startLine = line;
  }
  if (start < text.length) put(text.length);
  return records;
}

const quote = (value: string) => `"${value.replaceAll('"', '""')}"`;

/**
 * The refused rows as they stood in the file, with the reason in a last column, ready to be mended and sent again.
 * The first line is kept where it is a heading.
 */
export function refusedCsv(text: string, refused: readonly RefusedRow[]): string {
  const reasons = new Map<number, string[]>();
  for (const { row, column, message } of refused) {
    if (row === null) continue;
    reasons.set(row, [...(reasons.get(row) ?? []), column ? `${column}: ${message}` : message]);
  }
  const records = splitRecords(text.replace(/^\uFEFF/, ''));
  const first = records[0];
  const hasHeading = first && !reasons.has(first.line) && !/^[^,;\t]*[,;\t]\s*-?\d/.test(first.text);
  const lines = records
    .filter(({ line }) => reasons.has(line))
    .map(({ line, text: record }) => `${record},${quote(reasons.get(line)!.join('; '))}`);
  return [...(hasHeading ? [`${first.text},reason`] : []), ...lines].map((line) => `${line}\r\n`).join('');
}
