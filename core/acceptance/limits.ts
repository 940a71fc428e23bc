import { accessibleStandard } from './route.ts';
import type { AcceptancePolicy } from './types.ts';

interface Limit<Value> {
  value: Value;
}

/** An agency's limits of acceptance in force, whoever's they are; metres; null: not asked for. */
export interface AcceptanceLimits {
  acceptProudM: Limit<number>;
  acceptLowM: Limit<number>;
  drainageKinds: Limit<readonly string[]>;
  drainageProudM: Limit<number>;
  drainageLowM: Limit<number>;
  straightedgeLengthM: Limit<number>;
  straightedgeAlongM: Limit<number | null>;
  straightedgeAcrossM: Limit<number | null>;
  vacuumTest: Limit<'none' | 'all'>;
}

/** What covers of a kind are accepted by. Water has to find its way into drainage: it has limits of its own. */
export function policyFrom(limits: AcceptanceLimits, kind: string): AcceptancePolicy {
  const isDrainage = limits.drainageKinds.value.includes(kind);
  const along = limits.straightedgeAlongM.value;
  const across = limits.straightedgeAcrossM.value;
  return {
    proud: (isDrainage ? limits.drainageProudM : limits.acceptProudM).value,
    low: (isDrainage ? limits.drainageLowM : limits.acceptLowM).value,
    straightedge:
      along === null && across === null
        ? null
        : {
            length: limits.straightedgeLengthM.value,
            along: along ?? Number.POSITIVE_INFINITY,
            across: across ?? Number.POSITIVE_INFINITY,
          },
    vacuum: limits.vacuumTest.value === 'all',
    accessible: accessibleStandard,
  };
}
