import { describe, expect, test } from 'vitest';
import { sniffDialect } from '#core/intake/delimited/dialect.ts';
import { delimiters, FieldSplitter, forEachLine } from '#core/survey/fields.ts';

function split(text: string, delimiter: number, restFrom = -1, capacity = 64): string[] {
  const fields = new FieldSplitter(text, capacity);
  fields.delimiter = delimiter;
  fields.restFrom = restFrom;
  fields.split(0, text.length);
  return Array.from({ length: Math.min(fields.count, capacity) }, (_, index) => fields.field(index));
}

describe('FieldSplitter', () => {
  test.each([
    ['a,b,,c', ['a', 'b', '', 'c']],
    ['a,b,', ['a', 'b', '']],
    ['', ['']],
    [' a , b ', ['a', 'b']],
    ['"a,b",c', ['a,b', 'c']],
    ['"a""b" ,c', ['a"b', 'c']],
    ['"a" b,c', ['"a" b', 'c']],
    ['"a,b', ['"a', 'b']],
    ['24",b', ['24"', 'b']],
    ['a,"', ['a', '"']],
  ])('%s', (text, fields) => {
    expect(split(text, delimiters.comma)).toEqual(fields);
  });

  test('a run of spaces is one delimiter; a tab is one each', () => {
    expect(split(' a   b c  ', delimiters.space)).toEqual(['a', 'b', 'c']);
    expect(split('"a b" c', delimiters.space)).toEqual(['a b', 'c']);
    expect(split('a\t\t b ', delimiters.tab)).toEqual(['a', '', 'b']);
  });

  test('the last field may keep the rest of the line, quoted or not', () => {
    expect(split('1,MH, RIM, 24"', delimiters.comma, 1)).toEqual(['1', 'MH, RIM, 24"']);
    expect(split('1,"MH, RIM" ', delimiters.comma, 1)).toEqual(['1', 'MH, RIM']);
    expect(split('1,"MH", RIM', delimiters.comma, 1)).toEqual(['1', '"MH", RIM']);
    expect(split('1 MH  RIM ', delimiters.space, 1)).toEqual(['1', 'MH  RIM']);
  });

  test('fields past the capacity are counted', () => {
    const fields = new FieldSplitter('a,b,c,d', 2);
    fields.split(0, 7);
    expect(fields.count).toBe(4);
    expect(fields.field(2)).toBe('');
    expect(fields.field(-1)).toBe('');
    expect(split('a,b,c,d', delimiters.comma, -1, 2)).toEqual(['a', 'b']);
  });
});

test.each([
  ['1,2,3,4', delimiters.comma],
  ['1;2,5;3,5;4', delimiters.semicolon],
  ['1\t2\t3\t4', delimiters.tab],
  ['1 2 3 4', delimiters.space],
  ['1,2 3,1 4,0 CL', delimiters.space],
  ['1', delimiters.comma],
])('the delimiter of "%s" is character %d', (line, delimiter) => {
  expect(sniffDialect([line]).delimiter).toBe(delimiter);
});

test('lines are walked with their rows, whatever ends them', () => {
  const lines: [number, string][] = [];
  const text = '\uFEFFa\r\nb\rc\n\n\rd';
  forEachLine(text, (start, end, row) => lines.push([row, text.slice(start, end)]));
  expect(lines).toEqual([
    [1, 'a'],
    [2, 'b'],
    [3, 'c'],
    [4, ''],
    [5, ''],
    [6, 'd'],
  ]);
  forEachLine('', () => expect.fail('an empty text has no lines'));
});
