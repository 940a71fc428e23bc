import { formatElevation, formatSmall } from '#core/units/format.ts';
import type { CoverCard } from '#shared/cover.ts';
import { StageSteps } from '../../drawings/stage-steps.tsx';
import { stageText } from '../../source-words.ts';
import type { Units } from '../../units.ts';

/** Pavement over the cover from stage to stage: what to raise a frame to on the way. */
export function Stages({ card, units }: { card: CoverCard; units: Units }) {
  const stages = card.plan?.stageElevations ?? [];
  if (stages.length < 2) return null;
  const rows = stages.map((stage, index) => {
    const before = stages[index - 1];
    return { ...stage, rise: before ? stage.elevationM - before.elevationM : null };
  });
  return (
    <section class="stages" aria-label="Stages of the work">
      <h3>Pavement over the cover, stage by stage</h3>
      <div class="stages-body">
        <StageSteps elevations={stages.map(({ elevationM }) => elevationM)} />
        <ol reversed>
          {rows.toReversed().map(({ stage, lift, elevationM, rise }, fromTop) => (
            <li key={`${stage} ${lift}`} class={fromTop === 0 ? 'is-grade' : undefined}>
              <b>{stageText({ stage, lift })}</b> {formatElevation(elevationM, units.elevation)}
              {rise !== null && <span class="quiet"> {riseWords(rise, units)}</span>}
            </li>
          ))}
        </ol>
      </div>
    </section>
  );
}

function riseWords(rise: number, units: Units): string {
  const size = formatSmall(Math.abs(rise), units.small);
  return rise < 0 ? `${size} lower than before` : `${size} higher than before`;
}
