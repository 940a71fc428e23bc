import { expect, it } from 'vitest';
import type { CoverPlan } from '#shared/plan.ts';
import { decisionSentence, worstWords } from '../../web/words.ts';

const sentence = (rimErrorM: number) =>
  decisionSentence({ status: 'lower', rimErrorM, stack: [], reasons: [] } as unknown as CoverPlan, null, {
    small: 'decimalInches',
    smallUnit: 'in',
    elevation: 'ft',
  });

it('never says that a rim below the new surface goes down by what it has to come up', () => {
  expect(sentence(-0.1016)).toBe('Lower before milling, then raise 4.00 in.');
  expect(sentence(0.0254)).toBe('Lower 1.00 in.');
});

it('says that the allowance is off where the survey is not counted, and no doubt of nothing', () => {
  const units = { small: 'decimalInches', smallUnit: 'in', elevation: 'ft' } as const;
  expect(worstWords(-0.0033, 0, units)).toBe('0.13 in low, allowance off');
  expect(worstWords(-0.0033, 0.00254, units)).toBe('0.13 in low ± 0.10 in');
});

it('a cover that waits for its seat alone is told so, not that its survey is weak', () => {
  const asked = (...codes: string[]) =>
    decisionSentence(
      {
        status: 'remeasure',
        rimErrorM: null,
        stack: [],
        reasons: codes.map((code) => ({ code, values: {} })),
      } as unknown as CoverPlan,
      null,
      { small: 'millimetres', smallUnit: 'mm', elevation: 'm' } as never,
    );
  expect(asked('seatUnknown')).toBe('Measure the seat before a ring is cut.');
  expect(asked('surveyTooWeak', 'seatUnknown')).toBe('Measure again before a ring is cut.');
});
