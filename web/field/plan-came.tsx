import type { CoverCard } from '#shared/cover.ts';
import { useKept } from './hole/kept.ts';
import type { CoverAtHole } from './types.ts';

const planName = ({ plan }: CoverCard) => (plan ? `plan ${plan.revision}` : 'no plan');
const upper = (text: string) => text.replace(/^./, (first) => first.toUpperCase());

/**
 * The card that a cover is worked by. Where another plan came in after work was done, the one that was built to stays
 * until the foreman takes the other.
 */
export function useCardInHand({ card, builtTo }: CoverAtHole, project: string) {
  const id = card.structure.id;
  const [taken, take] = useKept<number | null>(`${project}:${id}:plan-taken`, null);
  const isNew = builtTo === null || taken === (card.plan?.revision ?? 0);
  return {
    inHand: isNew ? card : builtTo,
    isNew,
    choose: (next: boolean) => take(next ? (card.plan?.revision ?? 0) : null),
  };
}

interface Props {
  at: CoverAtHole;
  isNew: boolean;
  onChoose: (isNew: boolean) => void;
}

/** Says that another plan came in under work; both stay to be looked at. */
export function PlanCame({ at: { card, builtTo }, isNew, onChoose }: Props) {
  if (builtTo === null) return null;
  return (
    <section class="crew-plan-came" aria-label="Another plan came in">
      <p role="status">
        <b>
          {card.plan ? `Plan ${card.plan.revision} came in` : 'The plan was taken away'}; you have built to{' '}
          {planName(builtTo)}.
        </b>{' '}
        Stop and ask before you go on.
      </p>
      <div class="crew-pair">
        <button type="button" class="crew-button" aria-pressed={!isNew} onClick={() => onChoose(false)}>
          {upper(planName(builtTo))}, built to
        </button>
        <button type="button" class="crew-button" aria-pressed={isNew} onClick={() => onChoose(true)}>
          {upper(planName(card))}, new
        </button>
      </div>
    </section>
  );
}
