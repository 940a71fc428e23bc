import { describe, expect, it } from 'vitest';
import { doingOf } from '../../../web/field/doing.ts';
import { inch, tapedCard } from './card.ts';

const card = tapedCard();
const as = (status: NonNullable<typeof card.plan>['status'], rimErrorM: number | null) =>
  doingOf({ plan: { ...card.plan!, status, rimErrorM } });

describe('what a line of the night says is to be done', () => {
  it('has a figure where a crew raises or lowers', () => {
    expect(as('raise', -2 * inch)).toEqual({ word: 'Raise', metres: -2 * inch });
    expect(as('lower', inch)).toEqual({ word: 'Lower', metres: inch });
    expect(as('lower', -inch)).toEqual({ word: 'Lower, then raise', metres: -inch });
  });

  it('has none that could be taken for an order where there is nothing to build by', () => {
    for (const status of ['unsurveyed', 'remeasure', 'review', 'rebuild', 'leave'] as const)
      expect(as(status, -2 * inch)).toMatchObject({ metres: null });
    expect(as('leave', 0)?.word).toBe('Leave');
    expect(doingOf({ plan: null })).toBeNull();
  });
});
