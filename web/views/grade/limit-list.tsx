import { formatDistance, formatPercent } from '#core/units/format.ts';
import type { LimitSource } from '#shared/policy.ts';
import type { Project } from '#shared/project.ts';
import { nominal, unitsOf } from '../../units.ts';
import { ChimneyLimit } from './chimney-limit.tsx';
import { sourceWords } from './limit-words.ts';
import { SiteSettings } from './site-settings.tsx';

/** The limits in force, each with whose it is. */
export function LimitList({ project }: { project: Project }) {
  return (
    <section class="limits figures" aria-label="Limits">
      <h2>Limits</h2>
      <dl>
        {limitRows(project).map(([name, value, from]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>
              {value}, {sourceWords[from]}
            </dd>
          </div>
        ))}
        <ChimneyLimit project={project} />
        <SiteSettings project={project} />
      </dl>
    </section>
  );
}

function limitRows(project: Project): [string, string, LimitSource][] {
  const { limits } = project;
  const units = unitsOf(project);
  const far = (metres: number) => formatDistance(metres, units.elevation);
  const sigma = limits.shotSigmaM.value;
  const rows: [string, string, LimitSource][] = [
    ['Tolerance', `${nominal(limits.toleranceM.value, units)} each way`, limits.toleranceM.from],
    ['Nearest shot', `within ${far(limits.shotLimitM.value)}, else unsurveyed`, limits.shotLimitM.from],
    ['Farthest shot', `${far(limits.reachLimitM.value)} off at most`, limits.reachLimitM.from],
    [
      'Sigma of a shot',
      sigma === 'survey' ? "from the survey's own record, else estimated" : nominal(sigma, units),
      limits.shotSigmaM.from,
    ],
    ['Steepest surface', formatPercent(limits.maxGradient.value, 0), limits.maxGradient.from],
    [
      'Longest triangle side',
      `${far(limits.longestSideM.value)}; a longer one bridges a gap`,
      limits.longestSideM.from,
    ],
    [
      'Sigma of a lift',
      limits.liftSigmaM.value === 0 ? 'not counted' : nominal(limits.liftSigmaM.value, units),
      limits.liftSigmaM.from,
    ],
    ['Centre line', `within ${far(limits.centreLineLimitM.value)}`, limits.centreLineLimitM.from],
  ];
  const { maxRings } = limits;
  if (maxRings.value !== null) rows.push(['Rings at most', String(maxRings.value), maxRings.from]);
  return rows;
}
