import { statusOf } from '#shared/status.ts';
import { StatusSymbol } from '../../symbols/status-symbol.tsx';
import { offsetWords, stationText } from '../../words.ts';
import { lastOf, openPlate } from './standing.ts';
import { statusBy } from './status.ts';
import type { Hole } from './types.ts';

const notFoundWords = {
  notFound: 'Recorded as not found: nothing is stacked here.',
  buried: 'Recorded as buried.',
  otherOwner: 'Recorded as another owner’s: call them first.',
};

/** Which cover this is, where it is, and how it stands; a plate over it is said until it is off. */
export function HoleHead({ hole, onCautions }: { hole: Hole; onCautions?: () => void }) {
  const { card, units, records } = hole;
  const status = statusBy(records, hole.accepted) ?? card.fieldStatus ?? card.plan?.status ?? null;
  const where = [
    [card.structure.street, card.stationM === null ? '' : stationText(card.stationM, units)]
      .filter(Boolean)
      .join(' '),
    offsetWords(card.offsetM, units)?.replace(' of centre', ''),
  ].filter(Boolean);
  const plate = openPlate(records);
  const found = lastOf(records, 'found')?.facts.outcome ?? 'found';
  return (
    <header class="hole-head">
      <div class="hole-title">
        <h1>{card.structure.id}</h1>
        <p>{where.join(', ')}</p>
      </div>
      {status && (
        <span class="hole-status">
          <StatusSymbol status={status} size={30} />
          <span>{statusOf(status).word}</span>
        </span>
      )}
      {onCautions && (
        <button type="button" class="hole-cautions" onClick={onCautions} aria-label="Cautions">
          <svg width="30" height="28" viewBox="0 0 30 28" aria-hidden="true">
            <path
              d="M15 2L28.5 26H1.5Z"
              fill="#fff"
              stroke="var(--ink)"
              stroke-width="2.4"
              stroke-linejoin="round"
            />
            <path d="M15 10V18M15 20.6V23.4" stroke="var(--ink)" stroke-width="2.8" />
          </svg>
        </button>
      )}
      {found !== 'found' && (
        <p class="found-line" role="status">
          {notFoundWords[found]}
        </p>
      )}
      {plate && (
        <p class="plate-line" role="status">
          <b>Plated: plate {plate.facts.plate}.</b> Must be reopened.
        </p>
      )}
    </header>
  );
}
