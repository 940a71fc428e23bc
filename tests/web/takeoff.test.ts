import { describe, expect, it } from 'vitest';
import type { RingSupplies } from '#shared/ring-supply.ts';
import type { Takeoff, TakeoffRing } from '#shared/takeoff.ts';
import { draftOf, faultsOf, inForceText, onTopOf, readDraft } from '../../web/takeoff/draft.ts';
import { orderText, shortWords, sizeWords } from '../../web/takeoff/figures.ts';

const usual = <Value>(value: Value) => ({ value, from: 'default' as const });
const supplies: RingSupplies = {
  ringCatalogueId: 'rings',
  spareShare: { value: 0.075, from: 'project' },
  rings: [
    {
      ring: 'F20',
      pack: { value: 6, from: 'agency' },
      spareShare: { value: 0.075, from: 'project' },
      spareAtLeast: usual(1),
      onHand: { value: 0, from: 'project' },
    },
    {
      ring: 'T',
      pack: { value: 2, from: 'project' },
      spareShare: { value: 0.2, from: 'project' },
      spareAtLeast: usual(1),
      onHand: usual(null),
    },
  ],
};

describe('packs, spares and stock in fields', () => {
  it('are what their owner said himself; what holds without it is shown apart', () => {
    expect(draftOf(supplies, 'project')).toEqual({
      whose: 'project',
      spareShare: '7.5',
      rings: [
        { ring: 'F20', pack: '', spareShare: '', spareAtLeast: '', onHand: '0' },
        { ring: 'T', pack: '2', spareShare: '20', spareAtLeast: '', onHand: '' },
      ],
    });
    expect(inForceText(supplies.rings[0], 'pack')).toBe('6');
    expect(inForceText(supplies.rings[0], 'spareShare')).toBe('7.5');
    expect(inForceText(supplies.rings[1], 'onHand')).toBe('not counted');
  });

  it('are changed where something was typed alone, a blank field as nothing said', () => {
    const base = draftOf(supplies, 'project');
    expect(readDraft(base, base)).toEqual({ patch: {} });
    const draft = structuredClone(base);
    draft.spareShare = ' 12.5 % ';
    draft.rings[1].pack = '';
    draft.rings[1].onHand = '40';
    expect(readDraft(draft, base)).toEqual({
      patch: { spareShare: 0.125, rings: [{ ring: 'T', pack: null, onHand: 40 }] },
    });
  });

  it('keep what was typed on top of what somebody else stored', () => {
    const base = draftOf(supplies, 'project');
    const draft = structuredClone(base);
    draft.rings[0].onHand = '11';
    const fresh = structuredClone(base);
    fresh.rings[0].onHand = '33';
    fresh.rings[0].pack = '8';
    fresh.spareShare = '';
    const merged = onTopOf(fresh, draft, base);
    expect(merged).toEqual({
      ...fresh,
      rings: [{ ...fresh.rings[0], onHand: '11' }, fresh.rings[1]],
    });
    expect(readDraft(merged, fresh)).toEqual({ patch: { rings: [{ ring: 'F20', onHand: 11 }] } });
  });

  it.each([
    ['pack', '0', 'A pack holds at least 1 ring.'],
    ['pack', '2.5', '"2.5" is no whole number of rings.'],
    ['pack', '20000', 'At most 10,000 rings.'],
    ['onHand', '-3', '"-3" is no whole number of rings.'],
    ['onHand', 'a few', '"a few" is no whole number of rings.'],
    ['spareShare', '120', 'Spares are 0 to 100 % of what is needed.'],
    ['spareShare', 'five', '"five" is no percentage.'],
    ['spareShare', '%', '"%" is no percentage.'],
  ] as const)('say at %s "%s" what is wrong', (field, text, said) => {
    const base = draftOf(supplies, 'project');
    const draft = structuredClone(base);
    draft.rings[1][field] = text;
    expect(readDraft(draft, base)).toEqual({ faults: { [`/rings/1/${field}`]: said } });
  });

  it('show what the server says of a field at that field', () => {
    expect(faultsOf(['/rings/1/pack: must be >= 1', 'something else'])).toEqual({
      faults: { '/rings/1/pack': 'must be >= 1' },
      rest: ['something else'],
    });
  });
});

const ring = (change: Partial<TakeoffRing>): TakeoffRing => ({
  ring: 'F20',
  kind: 'flat',
  thinM: 0.0508,
  thickM: 0.0508,
  outerDiameterM: 0.86,
  needed: 10,
  built: 0,
  spare: 1,
  onHand: 7,
  short: 3,
  pack: 4,
  packs: 1,
  toOrder: 4,
  leftOver: 1,
  ...change,
});

describe('a ring of a takeoff in words', () => {
  it('has its size in the unit of the catalogue', () => {
    expect(sizeWords(ring({}), 'in')).toBe('Flat 2 in');
    expect(sizeWords(ring({ kind: 'taper', thinM: 0.0127, thickM: 0.0381 }), 'in')).toBe('Taper ½ to 1½ in');
    expect(sizeWords(ring({ thinM: 0.05, thickM: 0.05 }), 'mm')).toBe('Flat 50 mm');
  });

  it('has its order in packs', () => {
    expect(orderText(ring({}))).toBe('1 pack of 4');
    expect(orderText(ring({ packs: 1200, toOrder: 4800 }))).toBe('1,200 packs of 4');
    expect(orderText(ring({ pack: 1, packs: 1, toOrder: 1 }))).toBe('1 ring');
    expect(orderText(ring({ packs: 0, toOrder: 0 }))).toBe('none');
  });

  it('says what is short of what was counted, and what was not', () => {
    const said = (rings: TakeoffRing[]) => {
      const kinds = rings.filter(({ needed }) => needed > 0).length;
      const short = rings.reduce((sum, one) => sum + one.short, 0);
      return shortWords({ rings, totals: { kinds, short } } as Takeoff);
    };
    expect(said([ring({}), ring({ onHand: 99, short: 0 })])).toBe(
      '3 rings are short in 1 kind, no spare counted.',
    );
    expect(said([ring({ onHand: 99, short: 0 }), ring({ onHand: null, short: 10 })])).toBe(
      '10 rings are short in 1 kind, no spare counted. Of 1 kind nobody counted what is on hand.',
    );
    expect(said([ring({ onHand: 99, short: 0 })])).toBe(
      'Enough of every kind is on hand for what is needed.',
    );
    expect(said([ring({ onHand: null, short: 10 })])).toBe(
      'Nobody counted what is on hand: all that is needed counts as short.',
    );
    expect(said([ring({ needed: 0, short: 0 })])).toBe('No ring is needed, so none is short.');
  });
});
