import { metresPer } from '#core/units/length.ts';
import { type AcceptanceChoice, acceptanceNames } from '#shared/acceptance-limits.ts';
import type { LimitSource, Limits } from '#shared/policy.ts';
import { sealantNames } from '#shared/sealant-limits.ts';
import { siteNames } from '#shared/site-limits.ts';

interface Inputs {
  displayUnit: 'in' | 'mm';
  agency: AcceptanceChoice;
  project: AcceptanceChoice;
  toleranceM: number;
}

/** Common practice, no source: water has to find its way in, so no inlet stands proud. */
const usualDrainage = { kinds: ['inlet', 'catchBasin', 'gully'], proudM: 0, lowM: 0.006 };
/** Common practice, no source. */
const usualLengthM = { in: 10 * metresPer.ft, mm: 3 };

/** What rims are accepted by, each limit with whose it is. */
export function acceptanceInForce({ displayUnit, agency, project, toleranceM }: Inputs) {
  const choose = <Name extends keyof AcceptanceChoice, Usual>(name: Name, usual: Usual) => {
    const from: LimitSource = project[name] != null ? 'project' : agency[name] != null ? 'agency' : 'default';
    const value = (project[name] ?? agency[name] ?? usual) as NonNullable<AcceptanceChoice[Name]> | Usual;
    return { value, from };
  };
  const asked = (name: 'straightedgeAlongM' | 'straightedgeAcrossM') => {
    const { value, from } = choose(name, null);
    return { value: value === 'notAsked' ? null : value, from };
  };
  return {
    acceptProudM: choose('acceptProudM', toleranceM),
    acceptLowM: choose('acceptLowM', toleranceM),
    drainageKinds: choose('drainageKinds', usualDrainage.kinds),
    drainageProudM: choose('drainageProudM', usualDrainage.proudM),
    drainageLowM: choose('drainageLowM', usualDrainage.lowM),
    straightedgeLengthM: choose('straightedgeLengthM', usualLengthM[displayUnit]),
    straightedgeAlongM: asked('straightedgeAlongM'),
    straightedgeAcrossM: asked('straightedgeAcrossM'),
    vacuumTest: choose('vacuumTest', 'none' as const),
    vacuumTableId: choose('vacuumTableId', null),
    thickRopeM: choose('thickRopeM', null),
  } satisfies Partial<Limits>;
}

const unplanned = new Set<string>([...acceptanceNames, ...sealantNames, ...siteNames]);

/** Whether a change of limits is one of what plans are made from; that of a test's rope is seen by `plannedRope`. */
export function entersPlan(patch: object): boolean {
  return Object.keys(patch).some((name) => !unplanned.has(name));
}

/** The one of these limits that plans are made from: pressed thickness of the rope that they count, null for none. */
export function plannedRope(agency: AcceptanceChoice, project: AcceptanceChoice): number | null {
  const isAsked = (project.vacuumTest ?? agency.vacuumTest) === 'all';
  return isAsked ? (project.thickRopeM ?? agency.thickRopeM ?? null) : null;
}
