import { createExpression, featureFilter, validateStyleMin } from '@maplibre/maplibre-gl-style-spec';
import { describe, expect, it } from 'vitest';
import type { CoverRow } from '#shared/cover.ts';
import { countLayer, keptBy, numberOf, plateOf } from '../../web/map/cover-layers.ts';
import { ownStyle } from '../../web/map/style.ts';
import { matches } from '../../web/selection.ts';
import { sharesOf } from '../../web/symbols/count-plates.ts';

const tiles = { covers: 'http://localhost/{z}/{x}/{y}.mvt', register: 'http://localhost/{z}/{x}/{y}.mvt' };

/** What the map's own library makes of an expression for a cell. */
function evaluate(expression: unknown, properties: Record<string, number>): unknown {
  const compiled = createExpression(expression as never, 'layers[0].layout.text-field');
  if (compiled.result !== 'success') throw new Error(JSON.stringify(compiled.value));
  return compiled.value.evaluate({ zoom: 11 }, { type: 1, properties } as never);
}

describe('the covers on the map', () => {
  it('are drawn by a style without a fault', () => {
    Object.assign(globalThis, { location: { href: 'http://localhost/' } });
    expect(validateStyleMin(ownStyle({ latitude: 36, tiles }) as never)).toEqual([]);
    expect(countLayer().maxzoom).toBe(13);
  });

  it('are left and faded as the table leaves and drops its rows', () => {
    const rows = [
      { id: 'MH-1', street: 'Quay Lane', owner: 'Sewer works', kind: 'storm', status: 'raise' },
      { id: 'MH-2', street: null, owner: null, kind: 'valve', status: 'leave' },
      { id: 'QUAY-3', street: 'Long Street', owner: null, kind: 'storm', status: 'review' },
    ] as unknown as CoverRow[];
    for (const filter of [[], ['raise'], ['raise', 'review'], ['accepted']]) {
      for (const search of ['', 'quay', ' MH ', 'sewer', 'storm', 'none']) {
        const kept = keptBy(filter, search);
        const isKept = (row: CoverRow) =>
          kept === null ||
          featureFilter(kept, 'layers[0].filter').filter({ zoom: 15 }, {
            type: 1,
            properties: { ...row },
          } as never);
        expect(rows.map(isKept)).toEqual(rows.map((row) => matches(row, filter, search)));
      }
    }
  });
});

describe('a count on the map', () => {
  const cell = { covers: 4800, raise: 3600, review: 1190, leave: 10 };

  it.each([
    [{ covers: 7 }, '7'],
    [{ covers: 999 }, '999'],
    [cell, '4.8k'],
    [{ covers: 123_456 }, '123k'],
  ])('of %j is written as %s', (properties, words) => {
    expect(evaluate(numberOf([]), properties)).toBe(words);
  });

  it('is of the statuses that are filtered', () => {
    expect(evaluate(numberOf(['review', 'leave', 'set']), cell)).toBe('1.2k');
    expect(evaluate(numberOf(['set']), cell)).toBe('0');
  });

  it('has a strip with widths true to its statuses, each of them to be seen', () => {
    const name = evaluate(plateOf([]), cell) as string;
    const widths = sharesOf(name).map(({ from, to }) => to - from);
    expect(widths).toHaveLength(3);
    expect(widths.reduce((sum, width) => sum + width, 0)).toBeCloseTo(38, 9);
    const [review, raise, leave] = widths;
    expect(raise / 38).toBeCloseTo(0.75, 1);
    expect(review / 38).toBeCloseTo(0.25, 1);
    expect(leave).toBeGreaterThan(1);
  });

  it('leaves pale what the filter takes away', () => {
    const [raise, ...others] = sharesOf(evaluate(plateOf(['raise']), cell) as string);
    expect(others).toEqual([]);
    expect((raise.to - raise.from) / 38).toBeCloseTo(0.75, 9);
  });
});
