import { describe, expect, it } from 'vitest';
import { ringTotals, sealantLines } from '../../../server/paper/list/kit.ts';
import { listPages } from '../../../server/paper/list/list.ts';
import { pointsOf } from '../../../server/paper/paperSize.ts';
import type { SheetCover } from '../../../server/paper/sheet/types.ts';
import { hasPoppler, infoOf, textOf, wordsOf } from '../../helpers/pdf.ts';
import { exampleCover, exampleSetting, plan } from './example.ts';
import { printAll } from './print.ts';

const limits = exampleCover().limits;
const print = (
  covers: readonly SheetCover[],
  kit = { rings: ringTotals(covers), sealant: sealantLines(covers, limits) },
) => printAll(listPages(covers, kit, { ...exampleSetting, night: '2026-11-26', crew: 'A' }));

const stop = (number: number, of: number, change: Partial<SheetCover> = {}) => {
  const cover = exampleCover({ stop: { number, of }, ...change });
  return { ...cover, structure: { ...cover.structure, id: `MH-${number}` } };
};

describe('the kit of a night', () => {
  it('counts the rings of the stacks that may be built, by size', () => {
    const covers = [stop(1, 3), stop(2, 3), stop(3, 3, { plan: { ...plan, status: 'review' } })];
    expect(ringTotals(covers)).toEqual([
      { words: 'Flat 2 in (FL-2)', count: 2 },
      { words: 'Flat 3 in (FL-3)', count: 2 },
      { words: 'Taper 1⁄2 to 1 1⁄2 in (TP-A)', count: 2 },
    ]);
  });

  it('takes what was chosen at the hole in place of the plan', () => {
    const chosen = {
      stack: [{ ring: 'FL-1', azimuthDeg: null }],
      by: 'J. Roe',
      at: '2026-11-26T02:10:00Z',
      reason: '',
      jointM: { base: 0, between: 0, top: 0 },
    };
    expect(ringTotals([stop(1, 1, { chosen })])).toEqual([{ words: 'Flat 1 in (FL-1)', count: 1 }]);
  });
});

describe('the sealant of a night', () => {
  it('is that of all stacks that may be built, in whole rolls for the night', () => {
    const set = {
      ...limits,
      sealCircleM: { value: 29 * 0.0254, from: 'agency' as const },
      sealRollM: { value: 12 * 0.3048, from: 'agency' as const },
      sealMostSplices: { value: 'any' as const, from: 'agency' as const },
    };
    const waits = stop(3, 3, {
      seal: { joints: [], counted: { bead: 9, rope: 9, thickRope: 9 }, kit: '', warning: 'Not yet.' },
    });
    const review = stop(3, 3, { plan: { ...plan, status: 'review' } });
    // Twice six ropes of 95.66 in, 1148 in, out of rolls of 144 in: 7.97 of them.
    expect(sealantLines([stop(1, 3), stop(2, 3), waits, review], set)).toEqual(['12 ropes: 8 rolls']);
    expect(sealantLines([waits], set)).toEqual([]);
  });
});

describe.skipIf(!hasPoppler)('the list of a night, read with poppler', () => {
  it('has a line a cover with raise, rings and plate', async () => {
    const text = textOf(await print([stop(1, 2), stop(2, 2, { plate: 'P-14', plan: null })]));
    expect(text).toContain('Thu 26 Nov 2026, crew A 2 covers');
    expect(text).toContain('To load: 3 rings');
    expect(text).toContain(
      '1 MH-1 Tallow Street, 24+18, 6 ft right of centre Raise 2 3⁄8 in flat 3 in + flat 2 in + taper',
    );
    expect(text).toContain('thick 11');
    expect(text).toContain('2 MH-2');
    expect(text).toContain('Not planned yet None printed: see the sheet. plate P-14: reopen');
    expect(text).toContain('6 ropes; cartridges and rolls not reckoned, the circle they run on is not set');
    expect(text).toContain('the competent person on site come before this paper');
  });

  it('gives no rings where they do not count the rope of a vacuum test, and loads none for them', async () => {
    const warning = 'Not to be built yet: a vacuum test is asked for.';
    const waits = stop(1, 2, { seal: { joints: [], counted: null, kit: '', warning } });
    const text = textOf(await print([waits, stop(2, 2)])).replace(/\s+/g, ' ');
    expect(text).toContain('To load: 3 rings');
    expect(text).toContain('Not to be built yet: they do not count the rope of the vacuum test.');
    expect(text.match(/flat 3 in/g)).toHaveLength(1);
  });

  it('goes on over pages that are numbered, each cover once and all inside', async () => {
    const covers = Array.from({ length: 90 }, (_, index) => stop(index + 1, 90));
    const bytes = await print(covers);
    const { pages } = infoOf(bytes);
    expect(pages).toBeGreaterThan(3);
    const text = textOf(bytes);
    for (let page = 1; page <= pages; page += 1) expect(text).toContain(`Page ${page} of ${pages}`);
    for (const { structure } of covers)
      expect(text.match(new RegExp(`\\b${structure.id}\\b`, 'g'))).toHaveLength(1);
    for (const word of wordsOf(bytes)) expect(word.bottom).toBeLessThan(pointsOf.letter[1] - 25);
  });

  it('has room for the rings of a catalogue of two hundred', async () => {
    const rings = Array.from({ length: 200 }, (_, index) => ({
      words: `Flat ${index} mm (F${index})`,
      count: 3,
    }));
    const bytes = await print([stop(1, 1)], { rings, sealant: ['Rope: 4 rolls'] });
    expect(textOf(bytes)).toContain('Flat 199 mm');
    for (const word of wordsOf(bytes)) expect(word.bottom).toBeLessThan(pointsOf.letter[1] - 25);
  });
});
