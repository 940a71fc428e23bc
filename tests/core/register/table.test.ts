import { expect, test, vi } from 'vitest';
import { splitTable } from '#core/register/table.ts';

vi.mock('csv-parse/browser/esm/sync', () => ({
  CsvError: class extends Error {},
  parse: () => {
    throw new TypeError('an option that does not exist');
  },
}));

test('a fault that is not in the data is thrown, since it is the programmer’s', () => {
  expect(() => splitTable('id\nA')).toThrow(TypeError);
});
