import { describe, expect, it } from 'vitest';
import { sayTakeoff } from '#core/supply/words.ts';

const figures = { covers: 90, leftOut: 3, needed: 212, kinds: 14, built: 0, packs: 9, toOrder: 72 };
const said = (change: Partial<typeof figures>) => sayTakeoff({ ...figures, ...change });

describe('the finding of a takeoff', () => {
  it('says needed, to order and what is not in it', () => {
    expect(said({})).toBe(
      'You need 212 rings in 14 kinds; 9 packs to order (72 rings); 3 covers are not in it.',
    );
    expect(said({ needed: 1, kinds: 1, packs: 1, toOrder: 4, leftOut: 1 })).toBe(
      'You need 1 ring in 1 kind; 1 pack to order (4 rings); 1 cover is not in it.',
    );
    expect(said({ needed: 663_638, packs: 72, leftOut: 0 })).toBe(
      'You need 663,638 rings in 14 kinds; 72 rings to order.',
    );
  });

  it('says so where there is nothing to order, to build or to count', () => {
    expect(said({ packs: 0, toOrder: 0, leftOut: 0 })).toBe(
      'You need 212 rings in 14 kinds; nothing to order.',
    );
    const none = { needed: 0, kinds: 0, packs: 0, toOrder: 0 };
    expect(said({ ...none, built: 40, leftOut: 0 })).toBe(
      'No more rings are needed: 40 rings stand already; nothing to order.',
    );
    expect(said(none)).toBe('No rings are needed; nothing to order; 3 covers are not in it.');
    expect(said({ ...none, covers: 0, leftOut: 0 })).toBe('No cover is asked about.');
  });
});
