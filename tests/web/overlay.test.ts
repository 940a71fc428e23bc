import { describe, expect, it } from 'vitest';
import type { OverlayRow } from '#shared/outlook.ts';
import { readOrder, sortRows } from '../../web/outlook/answer.ts';
import { csvQuery, readOverlay } from '../../web/outlook/asked.ts';
import { findingWords, limitWords, reasonsWords, whereWords } from '../../web/outlook/words.ts';
import { unitsOf } from '../../web/units.ts';

const inches = unitsOf({ displayUnit: 'in', elevationUnit: 'us-ft' });
const metric = unitsOf({ displayUnit: 'mm', elevationUnit: 'm' });
const inch = 0.0254;

const row = (id: string, remainingM: number | null, answer: OverlayRow['answer'] = 'yes') =>
  ({ id, remainingM, answer }) as OverlayRow;

describe('the question about the next overlay', () => {
  it('reads thickness and mill depth in the unit of the field, as fractions or in another unit', () => {
    const read = readOverlay({ lay: '1 1/2', mill: '20 mm' }, inches) as {
      thicknessM: number;
      millM: number;
    };
    expect(read.thicknessM).toBeCloseTo(1.5 * inch, 12);
    expect(read.millM).toBe(20 * 0.001);
    expect(readOverlay({ lay: '50', mill: '' }, metric)).toEqual({ thicknessM: 50 * 0.001, millM: 0 });
  });

  it('says which field is wrong and why', () => {
    expect(readOverlay({ lay: '0', mill: '' }, inches)).toMatchObject({ field: 'lay' });
    expect(readOverlay({ lay: '2', mill: 'deep' }, inches)).toMatchObject({ field: 'mill' });
    expect(readOverlay({ lay: '501', mill: '' }, metric)).toEqual({
      field: 'lay',
      fault: 'At most 500 mm can be asked about.',
    });
  });

  it('goes into the address of a file as it goes to the server', () => {
    const body = {
      thicknessM: 3.5 * 0.0254,
      millM: 1.5 * 0.0254,
      project: 'p',
      streets: ['A Street', 'B, Lane'],
    };
    const query = csvQuery(body, [
      [1, 2],
      [3, 4],
      [5, 6],
    ]);
    expect(query.getAll('street')).toEqual(['A Street', 'B, Lane']);
    expect(query.get('polygon')).toBe('1.0000000,2.0000000 3.0000000,4.0000000 5.0000000,6.0000000');
    // The very number, however many digits that takes: a file is of the same question as the page.
    expect([Number(query.get('thicknessM')), Number(query.get('millM'))]).toEqual([
      body.thicknessM,
      body.millM,
    ]);
    expect(query.get('project')).toBe('p');
  });
});

describe('the answer', () => {
  const overlay = { thicknessM: 2 * inch, millM: 1.5 * inch, millClearanceM: 0 };
  const where = whereWords({ streets: ['Alder Street'], area: [], isRegister: false }, 'Town');

  it('is a sentence with its counts first', () => {
    const counts = { yes: 34, no: 12, unknown: 1 };
    expect(findingWords({ total: 47, counts, overlay }, where, inches)).toBe(
      '34 of 47 covers on Alder Street can take 2 in after milling 1½ in; 12 cannot, 1 is not known.',
    );
    const all = { yes: 2000, no: 0, unknown: 0 };
    expect(findingWords({ total: 2000, counts: all, overlay: { ...overlay, millM: 0 } }, where, metric)).toBe(
      'All 2,000 covers on Alder Street can take 51 mm with nothing milled.',
    );
    const none = { yes: 0, no: 0, unknown: 0 };
    expect(findingWords({ total: 0, counts: none, overlay }, where, inches)).toBe(
      'There are no covers on Alder Street.',
    );
  });

  it('says why not, most first, and whose limit it is', () => {
    expect(reasonsWords({ fits: 40, millStrikes: 2, chimneyLimit: 5 })).toBe(
      'Why not: 5 past the chimney limit, 2 that the mill strikes.',
    );
    expect(reasonsWords({ fits: 40 })).toBe('');
    expect(limitWords({ valueM: 0.3, from: 'default' }, metric)).toBe(
      'Chimneys are held to 300 mm, default.',
    );
  });

  it('is sorted with what is not known last, upward and downward', () => {
    const rows = [row('C-10', 0.2), row('C-2', null), row('C-9', 0.1)];
    const ids = (sorted: OverlayRow[]) => sorted.map(({ id }) => id);
    expect(ids(sortRows(rows, 'left', false))).toEqual(['C-9', 'C-10', 'C-2']);
    expect(ids(sortRows(rows, 'left', true))).toEqual(['C-10', 'C-9', 'C-2']);
    expect(ids(sortRows(rows, 'id', false))).toEqual(['C-2', 'C-9', 'C-10']);
    const mixed = [row('a', 0, 'unknown'), row('b', 0, 'yes'), row('c', 0, 'no')];
    expect(ids(sortRows(mixed, 'answer', false))).toEqual(['b', 'c', 'a']);
    expect(readOrder('-left')).toEqual({ by: 'left', isDown: true });
    expect(readOrder('nonsense')).toEqual({ by: 'id', isDown: false });
  });
});
