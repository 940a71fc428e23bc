import { expect, test } from 'vitest';
import { type AcceptanceLimits, policyFrom } from '#core/acceptance/limits.ts';
import { accessibleStandard } from '#core/acceptance/route.ts';

const limits: AcceptanceLimits = {
  acceptProudM: { value: 0.006 },
  acceptLowM: { value: 0.005 },
  drainageKinds: { value: ['inlet'] },
  drainageProudM: { value: 0 },
  drainageLowM: { value: 0.007 },
  straightedgeLengthM: { value: 3 },
  straightedgeAlongM: { value: null },
  straightedgeAcrossM: { value: null },
  vacuumTest: { value: 'none' },
};

test('drainage has limits of its own, as UK SROH S2.5 has them: 0 proud', () => {
  expect(policyFrom(limits, 'manhole')).toEqual({
    proud: 0.006,
    low: 0.005,
    straightedge: null,
    vacuum: false,
    accessible: accessibleStandard,
  });
  expect(policyFrom(limits, 'inlet')).toMatchObject({ proud: 0, low: 0.007 });
});

test('a way of the straightedge without a limit is not asked for', () => {
  const across = { ...limits, straightedgeAcrossM: { value: 0.006 }, vacuumTest: { value: 'all' } } as const;
  expect(policyFrom(across, 'manhole')).toMatchObject({
    straightedge: { length: 3, along: Number.POSITIVE_INFINITY, across: 0.006 },
    vacuum: true,
  });
});
