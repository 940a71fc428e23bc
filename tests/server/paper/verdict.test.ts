import { describe, expect, it } from 'vitest';
import { holding } from '../../../server/paper/facts.ts';
import { verdictOf } from '../../../server/paper/pack/verdict.ts';
import { kept } from './examplePack.ts';

const rim = () => kept('rimChecked', { method: 'level', rimErrorsM: [0, 0, 0, 0], sigmaM: 0.001 });
const word = (accepted: boolean, reason = '') => kept('accepted', { accepted, reasons: [], reason });
const meets = { meets: true, reasons: ['The rim is within its limits.'] };
const fails = { meets: false, reasons: ['The rim is 1⁄2 in proud at 6 o’clock.'] };

describe('the verdict of a pack', () => {
  it('is not checked without a rim, whatever the rest says', () => {
    expect(verdictOf([], { meets: false, reasons: [] })).toMatchObject({
      state: 'notChecked',
      reasons: ['Nobody has accepted it yet.'],
    });
  });

  it('is not accepted by measurements alone', () => {
    expect(verdictOf([rim()], meets)).toMatchObject({
      state: 'notAccepted',
      reasons: [...meets.reasons, 'Nobody has accepted it yet.'],
    });
  });

  it('is accepted by the word of a person, with who and when', () => {
    expect(verdictOf([rim(), word(true)], meets)).toMatchObject({
      state: 'accepted',
      said: { by: 'J. Roe' },
    });
  });

  it('says both where somebody accepted what does not meet the limits', () => {
    const { state, reasons } = verdictOf([rim(), word(true, 'ramped to it')], fails);
    expect(state).toBe('accepted');
    expect(reasons.join(' ')).toBe(
      'Accepted by J. Roe although: The rim is 1⁄2 in proud at 6 o’clock. J. Roe: ramped to it',
    );
  });

  it('is open again after a later check, and refused where the word is no', () => {
    expect(verdictOf([rim(), word(true), rim()], meets).state).toBe('notAccepted');
    expect(verdictOf([rim(), word(false, 'rocks')], meets)).toMatchObject({
      state: 'notAccepted',
      reasons: ['J. Roe: rocks', ...meets.reasons],
    });
  });
});

describe('records that hold', () => {
  it('are those that nothing took back, and a taking back may be taken back', () => {
    const check = rim();
    const back = kept('withdrawn', { record: check.id, reason: 'wrong cover' });
    const again = kept('withdrawn', { record: back.id, reason: 'it was the right one' });
    expect(holding([check, back])).toEqual([]);
    expect(holding([again, back, check])).toEqual([check]);
  });

  it('are not those that were settled against', () => {
    const [first, second] = [rim(), rim()];
    const settled = kept('settled', { keep: first.id, over: [second.id], reason: '' });
    expect(holding([first, second, settled])).toEqual([first]);
  });
});
