import { describe, expect, it } from 'vitest';
import type { Ring } from '#core/stack/types.ts';
import { type OrderRule, takeoff } from '#core/supply/takeoff.ts';

const ring = (id: string, thin: number, thick = thin): Ring => ({
  id,
  thin,
  thick,
  outerDiameter: 0.85,
  maxPerStack: 3,
  cost: null,
});
const catalogue = [ring('F20', 0.02), ring('F80', 0.08), ring('F50', 0.05), ring('T', 0.015, 0.035)];
const rule: OrderRule = { spareShare: 0.05, packs: new Map(), thinFlat: 0.025, onHand: null };
const stacks = (count: number, stack: string[]) => Array.from({ length: count }, () => stack);
const rowOf = (given: string[][], change: Partial<OrderRule>, id: string) =>
  takeoff(given, catalogue, { ...rule, ...change }).rows.find((row) => row.ring === id);

/** All of these: common practice, no source. */
describe('a takeoff of rings', () => {
  it('counts rings by id and brings the spare share in whole packs', () => {
    const packs = new Map([['F80', 4]]);
    // 41 needed and 5 % are 43.05: eleven packs of four.
    expect(rowOf(stacks(41, ['F80']), { packs }, 'F80')).toMatchObject({ needed: 41, toBring: 44 });
    expect(rowOf(stacks(41, ['F80', 'F80']), {}, 'F80')).toMatchObject({ needed: 82, toBring: 87 });
  });

  it('opens no pack for the rounding of a sum', () => {
    // 20 x 1.1 is 22.000000000000004 in doubles.
    expect(rowOf(stacks(20, ['F80']), { spareShare: 0.1 }, 'F80')!.toBring).toBe(22);
    expect(rowOf(stacks(3, ['F80']), { spareShare: 0 }, 'F80')!.toBring).toBe(3);
  });

  it('has a spare of each taper and each thin flat, needed or not, and of no other that is not needed', () => {
    const { rows } = takeoff(stacks(2, ['F20']), catalogue, rule);
    expect(rows.map(({ ring: id, needed, toBring }) => [id, needed, toBring])).toEqual([
      ['F20', 2, 3],
      ['T', 0, 1],
    ]);
  });

  it('says what is short of the needed alone, and orders what is short of needed and spare', () => {
    const given = stacks(10, ['F80', 'T']);
    const onHand = new Map([
      ['F80', 7],
      ['T', 10],
    ]);
    const packs = new Map([['F80', 4]]);
    expect(rowOf(given, { onHand, packs }, 'F80')).toMatchObject({ onHand: 7, short: 3, toOrder: 4 });
    expect(rowOf(given, { onHand }, 'T')).toMatchObject({ onHand: 10, short: 0, toOrder: 1 });
    expect(rowOf(given, { onHand: new Map([['T', 99]]) }, 'T')).toMatchObject({ short: 0, toOrder: 0 });
    expect(rowOf(given, { onHand: new Map() }, 'F80')).toMatchObject({ onHand: 0, short: 10, toOrder: 11 });
    expect(rowOf(given, {}, 'F80')).toMatchObject({ onHand: null, short: null, toOrder: null });
  });

  it('names rings that the catalogue does not have, and takes an empty night', () => {
    expect(takeoff([['X9', 'F80', 'A1', 'X9']], catalogue, rule).unknown).toEqual(['A1', 'X9']);
    expect(takeoff([], [ring('F80', 0.08)], rule)).toEqual({ rows: [], unknown: [] });
  });
});
