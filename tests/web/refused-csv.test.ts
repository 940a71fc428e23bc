import { describe, expect, it } from 'vitest';
import type { RefusedRow } from '#shared/import.ts';
import { refusedCsv, splitRecords } from '../../web/views/surveys/refused-csv.ts';

const refused = (row: number | null, message: string, column: string | null = null): RefusedRow => ({
  row,
  column,
  value: null,
  rule: 'x',
  message,
});

describe('the file of refused rows', () => {
  it('keeps the heading and every refused row once, with all its reasons last', () => {
    const text = 'id,elevation\r\nA,1\r\nB,abc\r\nC,2\r\n';
    const csv = refusedCsv(text, [refused(3, 'not a number', 'elevation'), refused(3, 'unknown "id"')]);
    expect(csv).toBe('id,elevation,reason\r\nB,abc,"elevation: not a number; unknown ""id"""\r\n');
  });

  it('takes no first shot for a heading', () => {
    expect(refusedCsv('1,100,200,3,GS\n2,,200,3,GS\n', [refused(2, 'blank', 'northing')])).toBe(
      '2,,200,3,GS,"northing: blank"\r\n',
    );
  });

  it('counts lines as a spreadsheet does when a cell holds a line break', () => {
    expect(splitRecords('a,b\n"x\ny",1\nz,2\n')).toEqual([
      { line: 1, text: 'a,b' },
      { line: 2, text: '"x\ny",1' },
      { line: 4, text: 'z,2' },
    ]);
  });

  it('leaves out faults of the whole file, which have no row', () => {
    expect(refusedCsv('a,b\n1,2\n', [refused(null, 'too large')])).toBe('a,b,reason\r\n');
  });
});
