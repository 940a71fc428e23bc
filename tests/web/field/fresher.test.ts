import { describe, expect, it } from 'vitest';
import type { AnyKept, AnyMade, RecordKind } from '#core/field/facts.ts';
import type { CoverCard } from '#shared/cover.ts';
import type { StoredNight } from '../../../web/field/database.ts';
import { fresher } from '../../../web/field/fresher.ts';
import { tapedCard } from './card.ts';

const coverOf = (id: string, revision: number): CoverCard => {
  const card = tapedCard();
  return { ...card, structure: { ...card.structure, id }, plan: { ...card.plan!, revision } };
};
const recordOf = (structureId: string, kind: RecordKind, seq?: number) =>
  ({
    id: `${structureId}-${kind}`,
    structureId,
    kind,
    facts: {},
    by: 'R. Pell',
    device: 'd',
    deviceTime: '2026-11-25T22:00:00Z',
    seen: 0,
    ...(seq !== undefined && { seq, receivedAt: '2026-11-25T22:01:00Z' }),
  }) as unknown as AnyMade & AnyKept;
const nightOf = (cards: CoverCard[], records: AnyKept[] = [], builtTo?: StoredNight['builtTo']) =>
  ({
    key: 'k',
    agency: 'a',
    tag: '"1"',
    bundle: { cards, records, lastSeq: 9 },
    builtTo,
  }) as unknown as StoredNight;
const idsOf = ({ bundle }: StoredNight) => bundle.cards.map(({ structure }) => structure.id);

describe('a night that comes anew', () => {
  it('takes a new plan at once where nothing was built', () => {
    const found = recordOf('MH-1', 'found', 1);
    const next = fresher(nightOf([coverOf('MH-1', 2)], [found]), nightOf([coverOf('MH-1', 3)], [found]), []);
    expect(next.bundle.cards[0].plan?.revision).toBe(3);
    expect(next.builtTo).toEqual({});
  });

  it('keeps the plan that was built to beside each later one, sent or not, until that plan is back', () => {
    const used = recordOf('MH-1', 'ringsUsed');
    const before = nightOf([coverOf('MH-1', 2)]);
    const third = fresher(before, nightOf([coverOf('MH-1', 3)]), [used]);
    expect(third.builtTo?.['MH-1'].plan?.revision).toBe(2);
    const sent = recordOf('MH-1', 'ringsUsed', 5);
    const fourth = fresher(third, nightOf([coverOf('MH-1', 4)], [sent]), []);
    expect(fourth.bundle.cards[0].plan?.revision).toBe(4);
    expect(fourth.builtTo?.['MH-1'].plan?.revision).toBe(2);
    expect(fresher(fourth, nightOf([coverOf('MH-1', 2)], [sent]), []).builtTo).toEqual({});
  });

  it('never hides a cover with unsent work, and lets others go', () => {
    const before = nightOf([coverOf('MH-1', 1), coverOf('MH-2', 1)]);
    const next = fresher(before, nightOf([coverOf('MH-3', 1)]), [recordOf('MH-2', 'found')]);
    expect(idsOf(next)).toEqual(['MH-3', 'MH-2']);
    expect(idsOf(fresher(next, nightOf([coverOf('MH-3', 1)]), []))).toEqual(['MH-3']);
  });

  it('keeps records that came in while the night was on its way', () => {
    const [one, two] = [recordOf('MH-1', 'found', 1), recordOf('MH-1', 'backfilled', 2)];
    const next = fresher(nightOf([coverOf('MH-1', 1)], [two]), nightOf([coverOf('MH-1', 1)], [one]), []);
    expect(next.bundle.records).toEqual([one, two]);
  });
});
