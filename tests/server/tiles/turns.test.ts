import { setTimeout as rest } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { Turns } from '../../../server/tiles/turns.ts';

describe('turns', () => {
  it('let no more go on at once than there are, and none wait while one is free', async () => {
    const turns = new Turns(2);
    let [now, most] = [0, 0];
    const work = async () => {
      now += 1;
      most = Math.max(most, now);
      await rest(1);
      now -= 1;
    };
    await Promise.all(Array.from({ length: 9 }, () => turns.take(1, work)));
    expect(most).toBe(2);
    let isBegun = false;
    void turns.take(1, async () => {
      isBegun = true;
    });
    expect(isBegun).toBe(true);
  });

  it('are given to the lightest first, and to alike ones in the order in which they came', async () => {
    const turns = new Turns(1);
    const order: string[] = [];
    const work = (name: string, weight: number) => turns.take(weight, async () => void order.push(name));
    await Promise.all([
      work('begun', 9),
      work('heavy', 1),
      work('also heavy', 1),
      work('light', 0.25),
      work('heaviest', 3),
      work('also light', 0.25),
    ]);
    expect(order).toEqual(['begun', 'light', 'also light', 'heavy', 'also heavy', 'heaviest']);
  });

  it('are given back by work that fails', async () => {
    const turns = new Turns(1);
    const failed = turns.take(1, () => Promise.reject(new Error('no rows')));
    const after = turns.take(1, async () => 'done');
    await expect(failed).rejects.toThrow('no rows');
    expect(await after).toBe('done');
  });
});
