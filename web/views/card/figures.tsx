import { clockWords } from '#core/units/clock.ts';
import {
  formatDistance,
  formatElevation,
  formatPercent,
  formatSmall,
  proudOrLow,
} from '#core/units/format.ts';
import { radians } from '#core/units/slope.ts';
import type { CoverCard } from '#shared/cover.ts';
import { fallOf } from '../../figures.ts';
import { surfaces, zones } from '../../imports/laid.ts';
import { slackWords, sourceText } from '../../source-words.ts';
import { nominal, type Units } from '../../units.ts';

const methodWords: Record<string, string> = {
  plane: 'a plane through the shots',
  ownSide: 'the shots on its own side of the coded line',
  foundSide: 'the shots on its own side of a line found in the survey',
  compromise: 'a compromise plane over the line',
  design: 'the design surface',
  gradeAndCrossSlope: 'grade and cross slope',
  tapes: 'four tape measure-downs',
};

const sourceWords = {
  default: 'default',
  agency: "the agency's",
  project: "the project's",
  catalogue: "the catalogue's",
};

/** The figures behind the decision: finished grade with its 2 sigma, shots, limits and whose they are. */
export function Figures({ card, units }: { card: CoverCard; units: Units }) {
  const { plan, structure, limits } = card;
  const finished = plan?.finished;
  const tolerance = limits.toleranceM;
  const rows: [string, string][] = [];
  if (finished) {
    rows.push([
      'Finished grade',
      `${formatElevation(finished.elevationM, units.elevation)}; ${doubtWords(plan, units)}; ${fallWords(card)}`,
    ]);
    if (plan.source)
      rows.push(['Comes from', sourceText(plan.source, surfaces.value.value, zones.value.value)]);
    rows.push([
      plan.source ? 'Worked out as' : 'Taken from',
      `${methodWords[finished.method] ?? finished.method}: ${finished.surface}, ${finished.shotsUsed} shots within ${formatDistance(finished.reachM, units.elevation)}`,
    ]);
    if (finished.rejected.length > 0)
      rows.push([
        'Left out',
        finished.rejected
          .map(
            ({ point, residualM }) =>
              `shot ${point}, ${formatSmall(Math.abs(residualM), units.small)} ${residualM > 0 ? 'high' : 'low'}`,
          )
          .join('; '),
      ]);
  }
  if (plan?.netBuildupM != null)
    rows.push(['Net buildup', `${formatSmall(plan.netBuildupM, units.small)}, rings and joints together`]);
  rows.push(['Rim today', rimToday(card, units)]);
  rows.push(['Tolerance', `${nominal(tolerance.value, units)} each way, ${sourceWords[tolerance.from]}`]);
  const slack = slackWords(plan, tolerance.value, units);
  if (slack) rows.push(['Allowance for the survey', slack]);
  if (limits.maxChimneyM.value !== null)
    rows.push([
      'Chimney at most',
      `${nominal(limits.maxChimneyM.value, units)}, ${sourceWords[limits.maxChimneyM.from]}`,
    ]);
  if (structure.structureDiameterM !== null) rows.push(['Structure', structureWords(card, units)]);
  return (
    <section class="figures" aria-label="Figures">
      <h3>Figures</h3>
      <dl>
        {rows.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

/** A survey that is not counted has no doubt to show; what it has is not nothing. */
function doubtWords({ allowance, finished }: NonNullable<CoverCard['plan']>, units: Units): string {
  const twoSigma = (sigma: number) => formatSmall(2 * sigma, units.small);
  const { sigmaM, sigmaRimM } = finished!;
  if (allowance === 'off' && sigmaRimM === 0) return 'how sure it is was not asked for';
  return `± ${twoSigma(sigmaM)} here, ± ${twoSigma(sigmaRimM)} at the rim (2σ)`;
}

function fallWords({ plan, roadBearingDeg, offsetM }: CoverCard): string {
  const { slope, azimuthDeg } = fallOf(plan!.finished!);
  if (slope < 0.0005) return 'level';
  if (roadBearingDeg === null)
    return `falls ${formatPercent(slope, 1)} to ${azimuthDeg.toFixed(0)}° from grid north`;
  return `falls ${formatPercent(slope, 1)} ${clockWords(radians(azimuthDeg), radians(roadBearingDeg), offsetM)}`;
}

function rimToday({ structure, plan }: CoverCard, units: Units): string {
  if (structure.rimElevationM === null) return 'never measured';
  const elevation = formatElevation(structure.rimElevationM, units.elevation);
  return plan?.rimErrorM == null
    ? elevation
    : `${elevation}, ${proudOrLow(plan.rimErrorM, units.small)} of finished grade`;
}

function structureWords({ structure }: CoverCard, units: Units): string {
  const barrel = `${nominal(structure.structureDiameterM!, units)} barrel`;
  return structure.structureDepthM === null
    ? barrel
    : `${barrel}, ${formatDistance(structure.structureDepthM, units.elevation)} deep`;
}
