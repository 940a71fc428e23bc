import { describe, expect, test } from 'vitest';
import { firstAtLeast, tableFlats } from '#core/stack/flats.ts';
import { metricCatalogue } from '../../helpers/catalogues.ts';

describe('the table of flat stacks', () => {
  test('holds every multiset once, sorted by height, fewest rings first where heights tie', () => {
    const catalogue = metricCatalogue({ maxRings: 3, joint: { base: 0, between: 0, top: 0 } });
    catalogue.rings = catalogue.rings
      .filter((r) => r.thin === r.thick && r.thin < 0.06)
      .map((r) => ({ ...r, maxPerStack: 3 }));
    const table = tableFlats(catalogue);
    // Multisets of at most 3 out of 3 kinds: 1 + 3 + 6 + 10.
    expect(table.size).toBe(20);
    const heights = Array.from(table.height);
    expect(heights).toEqual([...heights].sort((a, b) => a - b));
    const at50 = firstAtLeast(table.height, 0.05 - 1e-9);
    expect(table.count[at50]).toBe(1);
    expect(table.count[at50 + 1]).toBe(2);
    const keys = heights.map((_, i) => Array.from(table.pieces.slice(i * 3, i * 3 + 3)).join());
    expect(new Set(keys).size).toBe(20);
  });

  test('leaves out what no chimney has room for', () => {
    const table = tableFlats(metricCatalogue({ maxChimney: 0.06 }));
    expect(Math.max(...table.height)).toBeLessThanOrEqual(0.06 + 0.0025 + 1e-9);
    expect(firstAtLeast(table.height, 1)).toBe(table.size);
  });
});
