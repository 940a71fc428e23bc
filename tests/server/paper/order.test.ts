import { describe, expect, it } from 'vitest';
import type { Takeoff, TakeoffRing } from '#shared/takeoff.ts';
import { orderPages } from '../../../server/paper/order/order.ts';
import { scopeWords } from '../../../server/paper/order/scope.ts';
import { pointsOf } from '../../../server/paper/paperSize.ts';
import { coloursOf, hasPoppler, infoOf, textOf, wordsOf } from '../../helpers/pdf.ts';
import { printAll } from './print.ts';

const inch = 0.0254;
const ring = (id: string, thin: number, thick: number, change: Partial<TakeoffRing> = {}): TakeoffRing => ({
  ring: id,
  kind: thick > thin ? 'taper' : 'flat',
  thinM: thin * inch,
  thickM: thick * inch,
  outerDiameterM: 34 * inch,
  needed: 41,
  built: 0,
  spare: 3,
  onHand: 0,
  short: 41,
  pack: 4,
  packs: 11,
  toOrder: 44,
  leftOver: 3,
  ...change,
});

const example: Takeoff = {
  planRevision: 7,
  planStale: false,
  ringCatalogueId: 'rings',
  unit: 'in',
  covers: 52,
  toBuild: 44,
  ringless: 3,
  built: 2,
  leftOut: 3,
  reasons: [
    {
      reason: 'review',
      text: 'Somebody has to look before a stack is built.',
      covers: 2,
      ids: ['MH-4', 'MH-9'],
    },
    { reason: 'offGrade', text: 'Off grade as it stands.', covers: 1, ids: ['MH-12'] },
  ],
  rings: [
    ring('FL-3', 3, 3),
    ring('TP-A', 0.5, 1.5, { onHand: null, pack: 1, packs: 44 }),
    ring('FL-2', 2, 2, { onHand: 90, short: 0, packs: 0, toOrder: 0, leftOver: 49 }),
    ring('FL-1', 1, 1, { needed: 0, spare: 0, short: 0, packs: 0, toOrder: 0, leftOver: 0 }),
  ],
  unknownRings: [],
  totals: {
    needed: 123,
    kinds: 3,
    built: 5,
    spare: 9,
    short: 82,
    packs: 55,
    toOrder: 88,
    notCounted: 1,
  },
  by: null,
  groups: [],
};
const setting = {
  agency: 'Mossvale',
  project: 'Quay Lane overlay',
  scope: 'All covers.',
  timeZone: 'UTC',
  twoPersonsKg: 23,
  printedAt: new Date('2026-11-25T14:02:00Z'),
};
const print = (change: Partial<Takeoff> = {}, size: 'a4' | 'letter' = 'letter') =>
  printAll(orderPages({ ...example, ...change }, setting), { size });

describe('of which covers an order is', () => {
  it('is said in words', () => {
    expect(scopeWords({})).toBe('All covers.');
    expect(scopeWords({ night: '2027-05-04', crew: 'North', street: 'Quay Lane' })).toBe(
      'Only of street Quay Lane, the night Tue 4 May 2027, crew North.',
    );
    expect(scopeWords({ night: '', crew: '', status: 'raise,offGrade,unplanned' })).toBe(
      'Only of no night, no crew, status raise or off grade or not planned.',
    );
  });
});

describe.skipIf(!hasPoppler)('an order list, read with poppler', () => {
  it('has a line a ring with packs, then what is there, then the covers that are not in it', async () => {
    const text = textOf(await print());
    expect(text).toContain(
      'You need 123 rings in 3 kinds; 55 packs to order (88 rings); 3 covers are not in it.',
    );
    expect(text).toContain(
      'From plan 7. Of 1 kind nobody counted what is on hand: all that is needed is ordered.',
    );
    expect(text).toContain('2 stacks stand already and need no more rings.');
    expect(text).toMatch(/To order Flat 3 in FL-3, 34 in across 41 3 0 11 packs of 4 44 rings 3/);
    expect(text).toMatch(/Taper 1⁄2 to 1 1⁄2 in TP-A, 34 in across 41 3 not counted 44 rings 3/);
    expect(text).toMatch(/On hand is enough Flat 2 in FL-2, 34 in across 41 3 90 none 49/);
    expect(text).not.toContain('FL-1');
    expect(text).toContain(
      '3 covers are not in it 2 Somebody has to look before a stack is built. MH-4, MH-9',
    );
    expect(text).toContain('Printed 25 Nov 2026');
  });

  it('says so before the first plan', async () => {
    expect(textOf(await print({ planRevision: 0 }))).toContain('There is no plan yet. Of 1 kind');
  });

  it('warns of a plan that was overtaken, and of rings that the catalogue lacks', async () => {
    const unknownRings = [{ ring: 'OLD-7', needed: 2, built: 1 }];
    const text = textOf(await print({ planStale: true, unknownRings }));
    expect(text).toContain('Something changed since plan 7: plan again before you order.');
    expect(text).toContain('Rings that the catalogue does not have, to be ordered apart: OLD-7 (2).');
  });

  it.each(['a4', 'letter'] as const)('goes on over pages, each ring once and all of %s', async (size) => {
    const rings = Array.from({ length: 40 }, (_, at) => ring(`R-${at + 1}`, 1, 1 + (at % 3) / 2));
    const bytes = await print({ rings }, size);
    const { pages, isTagged } = infoOf(bytes);
    expect(pages).toBeGreaterThan(2);
    expect(isTagged).toBe(true);
    const words = wordsOf(bytes);
    for (const { ring: id } of rings) expect(words.filter(({ text }) => text === `${id},`)).toHaveLength(1);
    const [width, height] = pointsOf[size];
    for (const { left, right, top, bottom } of words) {
      expect(left).toBeGreaterThan(20);
      expect(right).toBeLessThan(width - 20);
      expect(top).toBeGreaterThan(20);
      expect(bottom).toBeLessThan(height - 20);
    }
    expect(textOf(bytes, pages)).toContain(`Page ${pages} of ${pages}`);
    expect(textOf(bytes, pages)).toContain('3 covers are not in it');
  });

  it('is black on white, and says so where there is nothing to order', async () => {
    const bytes = await print({ rings: [], reasons: [], leftOut: 0 });
    expect(textOf(bytes)).toContain('Nothing to order.');
    expect(coloursOf(await print()).mostSaturated).toBeLessThan(8);
  });
});
