import { describe, expect, it } from 'vitest';
import { slackWords, sourceText } from '../../web/source-words.ts';
import type { Units } from '../../web/units.ts';

const inches: Units = { small: 'decimalInches', smallUnit: 'in', elevation: 'ft' };

describe('where a finished grade comes from', () => {
  const source = {
    from: 'treatment' as const,
    surfaces: ['before'],
    stage: 'lift' as const,
    lift: 1,
    zone: 'east',
  };

  it('names surface, stage and zone, by their ids until the lists are here', () => {
    const surfaces = [{ id: 'before', name: 'Base lift, east' }] as never;
    const zones = [{ id: 'east', name: 'East half' }] as never;
    expect(sourceText(source, surfaces, zones)).toBe(
      'an earlier surface and what is milled and laid on it: Base lift, east, lift 1, in the zone East half',
    );
    expect(sourceText(source, null, null)).toMatch(/: before, lift 1, in the zone east$/);
    expect(sourceText({ ...source, stage: 'milled', lift: null, zone: null }, null, null)).toMatch(
      /: before, milled surface$/,
    );
  });

  it('says what of the tolerance is left where the survey is not counted', () => {
    const plan = {
      allowance: 'off' as const,
      status: 'raise' as const,
      reasons: [],
      rimErrorM: -0.05,
      stack: [],
      residual: { worstM: 0.00254, centreM: -0.00254, tiltM: 0 },
    };
    expect(slackWords(plan, 0.00635, inches)).toBe('not counted; 0.15 in of the tolerance is left');
    expect(slackWords({ ...plan, residual: { ...plan.residual, worstM: 0.0127 } }, 0.00635, inches)).toBe(
      'not counted; 0.25 in over the tolerance',
    );
    expect(slackWords({ ...plan, allowance: 'met' }, 0.00635, inches)).toBeNull();
  });
});
