import { expect, it } from 'vitest';
import { counted } from '#core/units/count.ts';

it('says one of a thing as one', () => {
  expect([counted(1, 'row'), counted(0, 'row'), counted(2, 'row')]).toEqual(['1 row', '0 rows', '2 rows']);
  expect([counted(1, 'row was', 'rows were'), counted(3, 'row was', 'rows were')]).toEqual([
    '1 row was',
    '3 rows were',
  ]);
});
