import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type RingRule, takeoff, usualSpareAtLeast, usualSpareShare } from '#core/supply/takeoff.ts';

const usual: RingRule = { pack: 1, spareShare: 0.05, spareAtLeast: 0, onHand: null };
const rowOf = (needed: number, rule: Partial<RingRule>) =>
  takeoff(new Map([['F80', needed]]), [{ id: 'F80' }], () => ({ ...usual, ...rule }))[0];

/** All of these: common practice, no source. */
describe('a takeoff of rings', () => {
  it('adds the spare share and orders whole packs', () => {
    // 41 needed and 5 % are 43.05: three spares, 44 in all, eleven packs of four.
    expect(rowOf(41, { pack: 4 })).toEqual({
      ring: 'F80',
      needed: 41,
      spare: 3,
      onHand: null,
      short: 41,
      packs: 11,
      toOrder: 44,
      leftOver: 3,
    });
    // 82 and 5 % are 86.1.
    expect(rowOf(82, {})).toMatchObject({ spare: 5, toOrder: 87, packs: 87, leftOver: 5 });
  });

  it('opens no pack for the rounding of a sum', () => {
    // 30 x 0.1 is 3.0000000000000004 less a little in doubles, and 21 x 0.1 is 2.1.
    expect(rowOf(30, { spareShare: 0.1 }).toOrder).toBe(33);
    expect(rowOf(70, { spareShare: 0.1 }).toOrder).toBe(77);
    expect(rowOf(3, { spareShare: 0 }).toOrder).toBe(3);
    expect(rowOf(8, { spareShare: 0, pack: 4 }).packs).toBe(2);
  });

  it('takes the share or the least, whichever is more spares', () => {
    expect(rowOf(10, { spareAtLeast: 3 }).spare).toBe(3);
    expect(rowOf(100, { spareAtLeast: 3 }).spare).toBe(5);
    expect(rowOf(10, { spareShare: 0, spareAtLeast: 0 }).spare).toBe(0);
  });

  it('has a spare of each taper and each thin flat, needed or not, but none where nothing is built', () => {
    expect(usualSpareAtLeast({ thin: 0.015, thick: 0.035 })).toBe(1);
    expect(usualSpareAtLeast({ thin: 0.02, thick: 0.02 })).toBe(1);
    expect(usualSpareAtLeast({ thin: 0.0254, thick: 0.0254 })).toBe(1);
    expect(usualSpareAtLeast({ thin: 0.0381, thick: 0.0381 })).toBe(0);
    expect(usualSpareShare).toBe(0.05);
    const both = [{ id: 'F80' }, { id: 'T' }];
    const rule = (ring: string) => ({ ...usual, spareAtLeast: ring === 'T' ? 1 : 0 });
    const spares = (needs: [string, number][]) =>
      takeoff(new Map(needs), both, rule).map(({ spare }) => spare);
    expect(spares([['F80', 2]])).toEqual([1, 1]);
    expect(spares([])).toEqual([0, 0]);
    expect(spares([['F80', 0]])).toEqual([0, 0]);
  });

  it('sets what is on hand against needed and spare, and says what is short of the needed alone', () => {
    // 10 needed, 1 spare: 11 less 7 on hand are 4, one pack of four; 1 is left when all ten stand.
    expect(rowOf(10, { onHand: 7, pack: 4 })).toMatchObject({ short: 3, packs: 1, toOrder: 4, leftOver: 1 });
    // 11 less 6 are 5: two packs of four, and 4 left over.
    expect(rowOf(10, { onHand: 6, pack: 4 })).toMatchObject({ short: 4, packs: 2, toOrder: 8, leftOver: 4 });
    expect(rowOf(10, { onHand: 10 })).toMatchObject({ short: 0, toOrder: 1 });
    expect(rowOf(10, { onHand: 99 })).toMatchObject({ short: 0, packs: 0, toOrder: 0, leftOver: 89 });
    expect(rowOf(10, { onHand: 0 })).toMatchObject({ onHand: 0, short: 10, toOrder: 11 });
  });

  it('refuses a pack of no rings', () => {
    expect(() => rowOf(1, { pack: 0 })).toThrow(RangeError);
    expect(() => rowOf(1, { pack: Number.NaN })).toThrow(RangeError);
  });

  it('always has enough for needed and spare, and never a whole pack more', () => {
    const count = fc.integer({ min: 0, max: 5000 });
    const rule = fc.record({
      pack: fc.integer({ min: 1, max: 60 }),
      spareShare: fc.integer({ min: 0, max: 100 }).map((percent) => percent / 100),
      spareAtLeast: fc.integer({ min: 0, max: 20 }),
      onHand: fc.option(count),
    });
    fc.assert(
      fc.property(count, rule, (needed, given) => {
        const row = rowOf(needed, given);
        const there = given.onHand ?? 0;
        expect(there + row.toOrder).toBeGreaterThanOrEqual(needed + row.spare);
        expect(row.toOrder % given.pack).toBe(0);
        if (row.packs > 0) expect(there + row.toOrder - given.pack).toBeLessThan(needed + row.spare);
        expect(row.leftOver).toBe(there + row.toOrder - needed);
        expect(row.toOrder).toBe(row.packs * given.pack);
      }),
    );
  });
});
