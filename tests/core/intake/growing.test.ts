import fc from 'fast-check';
import { expect, it } from 'vitest';
import { DoubleColumn, IndexColumn, TextColumn } from '#core/intake/growing.ts';

it.each([0, 1, 63, 64, 65, 65_535, 65_536, 65_537, 200_000])(
  'a column of %d numbers gives them back',
  (count) => {
    const doubles = new DoubleColumn();
    const indexes = new IndexColumn();
    for (let i = 0; i < count; i++) {
      doubles.push(i / 3);
      indexes.push(i);
    }
    expect(doubles.length).toBe(count);
    expect([...doubles.done()]).toEqual(Array.from({ length: count }, (_, i) => i / 3));
    expect(indexes.done(Math.min(count, 70_000)).at(-1) ?? 0).toBe(Math.max(0, Math.min(count, 70_000) - 1));
    if (count === 0) return;
    indexes.set(count - 1, 7);
    expect(indexes.at(count - 1)).toBe(7);
    expect(doubles.at(count - 1)).toBe((count - 1) / 3);
  },
);

it('a column of texts gives them back, whatever their letters and lengths', () => {
  const text = fc.oneof(
    fc.string(),
    fc.string({ unit: 'grapheme' }),
    fc.string({ minLength: 80, maxLength: 400 }),
  );
  fc.assert(
    fc.property(fc.array(text, { maxLength: 60 }), (texts) => {
      const column = new TextColumn();
      for (const each of texts) column.push(each);
      expect(Array.from({ length: column.length }, (_, i) => column.at(i))).toEqual(
        texts.map((each) => each.toWellFormed()),
      );
    }),
  );
  const many = new TextColumn();
  for (let i = 0; i < 300_000; i++) many.push(`P-${i}`);
  expect([0, 131_072, 299_999].map((i) => many.at(i))).toEqual(['P-0', 'P-131072', 'P-299999']);
});
