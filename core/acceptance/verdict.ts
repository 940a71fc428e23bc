import type { Conflict } from '../field/conflicts.ts';
import type { Cure } from '../field/cures.ts';
import type { OpenPlate } from '../field/plates.ts';
import type { Reason } from '../plan/types.ts';
import type { VacuumVerdict } from '../seal/judgeVacuum.ts';
import type { RimJudgement } from './rim.ts';
import { type RouteJudgement, slopeOf } from './route.ts';
import type { StraightedgeJudgement } from './straightedge.ts';
import type { AcceptancePolicy } from './types.ts';

/** What there is to judge a cover by; null: not measured. */
export interface Evidence {
  rim: RimJudgement | null;
  straightedge: StraightedgeJudgement | null;
  vacuum: VacuumVerdict | null;
  /** null where the cover lies in no accessible route. */
  route: RouteJudgement | null;
  conflicts: readonly Conflict[];
  plates: readonly OpenPlate[];
  /** Those that are not over yet: `stillCuring` of core/field/coverState.ts. */
  curing: readonly Cure[];
}

/** What the measurements come to. Whether a cover is accepted is the word of a named person. */
export interface AcceptanceVerdict {
  verdict: 'accept' | 'offGrade' | 'notYet';
  /** What decides comes first; worded by words.ts. */
  reasons: Reason[];
}

interface Found {
  /** Nothing that was measured can be told to be of the finished cover. */
  unclear: Reason[];
  off: Reason[];
  missing: Reason[];
  good: Reason[];
}

const reason = (code: string, values: Reason['values'] = {}): Reason => ({ code, values });

/**
 * Hold a cover against its agency's policy. `notYet` while a plate lies over it or records contradict each other,
 * whatever was measured; `offGrade` where rim, straightedge or route is past a limit; `notYet` while something is
 * missing, too uncertain, failed its vacuum test or cures; else `accept`. A figure counts as it was measured: within its
 * limit by less than its own doubt it is accepted, and the doubt is said. A sigma that alone fills the limits is no check.
 */
export function judgeAcceptance(policy: AcceptancePolicy, evidence: Evidence): AcceptanceVerdict {
  const found: Found = { unclear: [], off: [], missing: [], good: [] };
  for (const { plate } of evidence.plates) found.unclear.push(reason('plateOpen', { plate }));
  for (const { kind, records } of evidence.conflicts)
    found.unclear.push(reason('conflict', { step: kind, count: records.length }));
  rimReasons(policy, evidence.rim, found);
  edgeReasons(policy, evidence.straightedge, found);
  if (evidence.route) routeReasons(evidence.route, found);
  // A leak that was found is one, whether a test was asked for or not.
  if (policy.vacuum || evidence.vacuum?.outcome === 'failed') vacuumReasons(evidence.vacuum, found);
  for (const { what, releaseAt } of evidence.curing)
    found.missing.push(reason('curing', { what, ...(releaseAt !== null && { until: releaseAt }) }));
  const { unclear, off, missing, good } = found;
  const verdict =
    unclear.length > 0 ? 'notYet' : off.length > 0 ? 'offGrade' : missing.length > 0 ? 'notYet' : 'accept';
  return { verdict, reasons: [...unclear, ...off, ...missing, ...good] };
}

function rimReasons({ proud, low }: AcceptancePolicy, rim: RimJudgement | null, found: Found): void {
  if (rim === null) {
    found.missing.push(reason('rimNotChecked'));
    return;
  }
  const { worst, plane, state } = rim;
  const { error, clock, allowance } = worst;
  const figures = { error, clock, allowance, proud, low };
  const isWeak = 2 * allowance > proud + low + 1e-9;
  if (state === 'off') found.off.push(reason('rimOff', figures));
  else if (isWeak) found.missing.push(reason('rimTooWeak', figures));
  else found.good.push(reason(state === 'doubtful' ? 'rimDoubtful' : 'rimWithin', figures));
  if (plane === null) found.missing.push(reason('rimFewClocks', { count: rim.clocks.length }));
  else if (plane.isUneven) found.missing.push(reason('rimUneven', { misfit: plane.misfit }));
}

function edgeReasons(
  { straightedge: limits }: AcceptancePolicy,
  edge: StraightedgeJudgement | null,
  found: Found,
): void {
  if (limits === null) return;
  if (edge === null) {
    found.missing.push(reason('edgeNotMeasured', { wanted: limits.length }));
    return;
  }
  for (const { way, gap, proud, limit, isOff } of edge.lines)
    (isOff ? found.off : found.good).push(
      reason(isOff ? 'edgeOff' : 'edgeWithin', { way, gap, proud, limit }),
    );
  for (const { way, isAfloat } of edge.lines) if (isAfloat) found.good.push(reason('edgeAfloat', { way }));
  for (const way of edge.missing) found.missing.push(reason('edgeWayMissing', { way }));
  if (edge.isShort) found.missing.push(reason('edgeShort', { length: edge.length, wanted: edge.wanted }));
}

function routeReasons({ level, slope, opening, measured, rule }: RouteJudgement, found: Found): void {
  const step = { step: measured.levelChange ?? 0, vertical: rule.vertical, bevelled: rule.bevelled };
  const across = { slope: measured.crossSlope ?? 0, limit: rule.crossSlope };
  if (level === 'notMeasured') found.missing.push(reason('routeStepMissing'));
  else if (level === 'within') found.good.push(reason('routeStepWithin', step));
  else if (level === 'off') found.off.push(reason('routeStepOff', step));
  else if (level === 'needsBevel')
    found.off.push(reason('routeNeedsBevel', { ...step, slope: rule.bevelSlope }));
  else if (level === 'lowBevel')
    found.off.push(reason('routeBevelLow', { ...step, rise: measured.bevel!.rise }));
  else found.off.push(reason('routeBevelSteep', { slope: slopeOf(measured.bevel!), limit: rule.bevelSlope }));
  if (slope === 'notMeasured') found.missing.push(reason('routeSlopeMissing'));
  else
    (slope === 'off' ? found.off : found.good).push(
      reason(slope === 'off' ? 'routeSlopeOff' : 'routeSlopeWithin', across),
    );
  if (opening === 'off') found.off.push(reason('routeOpeningOff', { opening: measured.opening! }));
  else if (opening === 'notMeasured') found.good.push(reason('routeOpenings'));
}

function vacuumReasons(vacuum: VacuumVerdict | null, found: Found): void {
  if (vacuum === null) found.missing.push(reason('vacuumMissing'));
  else if (vacuum.outcome === 'passed') found.good.push(reason('vacuumPassed'));
  else found.missing.push(reason(vacuum.outcome === 'failed' ? 'vacuumFailed' : 'vacuumNotTested'));
}
