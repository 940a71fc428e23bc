import { describe, expect, it } from 'vitest';
import { unitForGrid } from '#core/units/gridUnit.ts';
import { metresPer } from '#core/units/length.ts';

describe('the unit of a file in a grid', () => {
  it('is the stated one, without a word, where it agrees or is plainly another', () => {
    expect(unitForGrid('us-ft', metresPer['us-ft'])).toEqual({ metres: 1200 / 3937, doubt: null });
    expect(unitForGrid('m', metresPer.ft)).toEqual({ metres: 1, doubt: null });
  });

  it('is that of the grid, said aloud, where the file states none or the other foot', () => {
    expect(unitForGrid(null, 0.3048)).toEqual({ metres: 0.3048, doubt: expect.stringContaining('no unit') });
    const other = unitForGrid('ft', metresPer['us-ft']);
    expect(other.metres).toBe(metresPer['us-ft']);
    // 2 000 000 ft by either foot differ by 2 parts in a million of 609 601 m.
    expect(other.doubt).toContain('1.22 m');
  });
});
