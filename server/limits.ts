import { defaultPolicy, type Policy } from '#core/plan/policy.ts';
import type { LimitSource, Limits, PolicyChoice } from '#shared/policy.ts';
import { acceptanceInForce } from './acceptance-limits.ts';
import { sealantInForce } from './sealant-limits.ts';
import { siteInForce } from './site-limits.ts';

/** Tolerance for people who read millimetres; those who read inches have defaultPolicy's 1/4 in. */
const metricTolerance = 0.006;

interface LimitInputs {
  displayUnit: 'in' | 'mm';
  agency: PolicyChoice;
  project: PolicyChoice;
  catalogue: { maxRings: number; maxChimneyM: number } | null;
}

/** The limits in force: the project's own word, else the agency's, else the default, each saying which it is. */
export function limitsInForce({ displayUnit, agency, project, catalogue }: LimitInputs): Limits {
  const choose = <Name extends keyof PolicyChoice>(name: Name, usual: NonNullable<PolicyChoice[Name]>) => {
    const from: LimitSource = project[name] != null ? 'project' : agency[name] != null ? 'agency' : 'default';
    return { value: (project[name] ?? agency[name] ?? usual) as NonNullable<PolicyChoice[Name]>, from };
  };
  const toleranceM = choose('toleranceM', displayUnit === 'mm' ? metricTolerance : defaultPolicy.tolerance);
  const fromCatalogue: LimitSource = catalogue ? 'catalogue' : 'default';
  return {
    toleranceM,
    objective: choose('objective', defaultPolicy.objective),
    shotLimitM: choose('shotLimitM', defaultPolicy.shotLimit),
    reachLimitM: choose('reachLimitM', defaultPolicy.reachLimit),
    samePlaceM: choose('samePlaceM', defaultPolicy.sameplace),
    shotSigmaM: choose('shotSigmaM', defaultPolicy.shotSigma ?? 'survey'),
    maxGradient: choose('maxGradient', defaultPolicy.maxGradient),
    finishedFrom: choose('finishedFrom', defaultPolicy.finishedFrom),
    longestSideM: choose('longestSideM', defaultPolicy.longestSide),
    liftSigmaM: choose('liftSigmaM', defaultPolicy.liftSigma),
    centreLineLimitM: choose('centreLineLimitM', defaultPolicy.centreLineLimit),
    maxRings: { value: catalogue?.maxRings ?? null, from: fromCatalogue },
    maxChimneyM: chimneyLimit({ agency, project, catalogue }),
    ...acceptanceInForce({ displayUnit, agency, project, toleranceM: toleranceM.value }),
    ...sealantInForce({ displayUnit, agency, project }),
    ...siteInForce({ agency, project }),
  };
}

/** A chimney limit of one's own stands before that of the ring catalogue. */
function chimneyLimit({
  agency,
  project,
  catalogue,
}: Omit<LimitInputs, 'displayUnit'>): Limits['maxChimneyM'] {
  if (project.maxChimneyM != null) return { value: project.maxChimneyM, from: 'project' };
  if (agency.maxChimneyM != null) return { value: agency.maxChimneyM, from: 'agency' };
  return catalogue ? { value: catalogue.maxChimneyM, from: 'catalogue' } : { value: null, from: 'default' };
}

/** The limits as the computation takes them. */
export function toPolicy(limits: Limits): Policy {
  const sigma = limits.shotSigmaM.value;
  return {
    ...defaultPolicy,
    tolerance: limits.toleranceM.value,
    objective: limits.objective.value,
    shotLimit: limits.shotLimitM.value,
    reachLimit: limits.reachLimitM.value,
    sameplace: limits.samePlaceM.value,
    shotSigma: sigma === 'survey' ? null : sigma,
    maxGradient: limits.maxGradient.value,
    finishedFrom: limits.finishedFrom.value,
    longestSide: limits.longestSideM.value,
    liftSigma: limits.liftSigmaM.value,
    centreLineLimit: limits.centreLineLimitM.value,
  };
}

/** A choice with a patch laid over it; null in the patch takes a limit back. */
export function mergePolicy(before: PolicyChoice, patch: PolicyChoice): PolicyChoice {
  const merged = { ...before, ...patch };
  return Object.fromEntries(Object.entries(merged).filter(([, value]) => value !== null)) as PolicyChoice;
}
