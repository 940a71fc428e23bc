import { formatSmall } from '#core/units/format.ts';
import type { CoverCard, PlanVersion } from '#shared/cover.ts';
import { statusOf } from '#shared/status.ts';
import type { HistoryEvent } from '#shared/structure.ts';
import { isWithoutStack } from '../../figures.ts';
import type { Units } from '../../units.ts';

interface Line {
  at: string;
  what: string;
}

/** What has happened here, newest first. */
export function History({ card, units }: { card: CoverCard; units: Units }) {
  const lines = [
    ...card.plans.map((version): Line => ({ at: version.at, what: planWords(version, units) })),
    ...card.history
      .filter(({ kind }) => kind !== 'planned')
      .map((event): Line => ({ at: event.at, what: eventWords(event) })),
  ].sort((a, b) => b.at.localeCompare(a.at));
  if (lines.length === 0) return null;
  return (
    <section class="history" aria-label="History">
      <h3>History</h3>
      <ol>
        {lines.map(({ at, what }) => (
          <li key={at + what}>
            <time dateTime={at}>{momentText(at)}</time>
            <span>{what}</span>
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
  const sigma = sigmaRimM === null ? '' : `, survey 2σ ${formatSmall(2 * sigmaRimM, units.small)}`;
  return `Plan ${revision}: ${word}${worst}${sigma}`;
}

/** `rimElevationM` as `rim elevation`. */
const fieldWords = (field: string) =>
  field
    .replace(/(M|Deg)$/, '')
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .toLowerCase();

const valueText = (value: unknown) =>
  value === null || value === undefined
    ? 'blank'
    : typeof value === 'object'
      ? JSON.stringify(value)
      : String(value);

function eventWords({ kind, detail }: HistoryEvent): string {
  const entries = Object.entries(detail);
  if (kind === 'created') return 'Entered in the register';
  if (kind === 'note') return entries.map(([, value]) => valueText(value)).join(' ');
  const what = entries.map(([field, value]) =>
    Array.isArray(value) && value.length === 2
      ? `${fieldWords(field)} ${valueText(value[0])} to ${valueText(value[1])}`
      : `${fieldWords(field)} ${valueText(value)}`,
  );
  return `${kind === 'imported' ? 'Imported' : 'Changed'}${what.length > 0 ? `: ${what.join(', ')}` : ''}`;
}
