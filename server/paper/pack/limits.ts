import { formatDistance } from '#core/units/format.ts';
import type { Limits } from '#shared/policy.ts';
import { nominal, type PaperUnits } from '../units.ts';
import type { PackLimit } from './types.ts';

const whoseWords = {
  default: 'default',
  agency: 'the agency’s',
  project: 'the project’s',
  catalogue: 'the catalogue’s',
};

/** The limits that the pack judges by, with whose they are. */
export function packLimits(limits: Limits, units: PaperUnits): PackLimit[] {
  const row = (name: string, { from }: { from: keyof typeof whoseWords }, value: string) => ({
    name,
    value,
    whose: whoseWords[from],
  });
  const size = (name: string, limit: Limits['acceptProudM']) => row(name, limit, nominal(limit.value, units));
  const edge = (name: string, limit: Limits['straightedgeAlongM']) =>
    row(name, limit, limit.value === null ? 'not asked for' : nominal(limit.value, units));
  const { vacuumTest, straightedgeLengthM, drainageKinds } = limits;
  const drains = drainageKinds.value.length === 0 ? 'none' : drainageKinds.value.join(', ');
  return [
    size('Rim proud, at most', limits.acceptProudM),
    size('Rim low, at most', limits.acceptLowM),
    row('Kinds that drain', drainageKinds, drains),
    size('They proud, at most', limits.drainageProudM),
    size('They low, at most', limits.drainageLowM),
    row('Straightedge', straightedgeLengthM, formatDistance(straightedgeLengthM.value, units.elevation)),
    edge('Under it along, at most', limits.straightedgeAlongM),
    edge('Under it across, at most', limits.straightedgeAcrossM),
    row('Times are those of', limits.timeZone, limits.timeZone.value),
    row('Passed vacuum test', vacuumTest, vacuumTest.value === 'all' ? 'asked for' : 'not asked for'),
  ];
}
