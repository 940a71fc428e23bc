import { formatSmall } from '#core/units/format.ts';
import type { CoverCard, PlanVersion } from '#shared/cover.ts';
import { statusOf } from '#shared/status.ts';
import { canUndo, undoEdit } from '../../edit/editing.ts';
import { eventWords } from '../../edit/history-words.ts';
import { isWithoutStack } from '../../figures.ts';
import type { Units } from '../../units.ts';

interface Line {
  at: string;
  what: string;
  /** Number of a change that can still be taken back. */
  undoes?: number;
}

/** What has happened here, newest first. */
export function History({ card, units }: { card: CoverCard; units: Units }) {
  const lines = [
    ...card.plans.map((version): Line => ({ at: version.at, what: planWords(version, units) })),
    ...card.history
      .filter(({ kind }) => kind !== 'planned')
      .map(
        (event): Line => ({
          at: event.at,
          what: eventWords(event, units),
          undoes: canUndo(event, card.structure) ? event.id : undefined,
        }),
      ),
  ].sort((a, b) => b.at.localeCompare(a.at));
  if (lines.length === 0) return null;
  return (
    <section class="history" aria-label="History">
      <h3>History</h3>
      <ol>
        {lines.map(({ at, what, undoes }) => (
          <li key={at + what}>
            <time dateTime={at}>{momentText(at)}</time>
            <span>
              {what}{' '}
              {undoes !== undefined && (
                <button type="button" class="link" onClick={() => void undoEdit(card.structure.id, undoes)}>
                  Undo<span class="hidden"> {what}</span>
                </button>
              )}
            </span>
          </li>
        ))}
      </ol>
    </section>
  );
}

const moment = new Intl.DateTimeFormat('en-GB', {
  day: 'numeric',
  month: 'short',
  year: 'numeric',
  hour: '2-digit',
  minute: '2-digit',
});
const momentText = (at: string) => moment.format(new Date(at)).replace(',', '');

function planWords({ revision, status, worstM, sigmaRimM }: PlanVersion, units: Units): string {
  const word = statusOf(status).word.toLowerCase();
  const worst =
    worstM === null || isWithoutStack(status) ? '' : `, worst rim error ${formatSmall(worstM, units.small)}`;
  const sigma = !sigmaRimM ? '' : `, survey 2σ ${formatSmall(2 * sigmaRimM, units.small)}`;
  return `Plan ${revision}: ${word}${worst}${sigma}`;
}
