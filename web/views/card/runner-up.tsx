import { formatSmall } from '#core/units/format.ts';
import type { CoverCard } from '#shared/cover.ts';
import { isWithoutStack, signedWorst } from '../../figures.ts';
import type { Units } from '../../units.ts';
import { stackSentence, worstWords } from '../../words.ts';

const countWords = [
  'No ring',
  'One ring',
  'Two rings',
  'Three rings',
  'Four rings',
  'Five rings',
  'Six rings',
];

/** The stack that came second and what it would cost. */
export function RunnerUpNote({ card, units }: { card: CoverCard; units: Units }) {
  const { plan, ringCatalogue } = card;
  const second = plan?.runnerUp;
  if (!plan?.finished || !second || isWithoutStack(plan.status)) return null;
  const count = countWords[second.stack.length] ?? `${second.stack.length} rings`;
  const more = second.stack.length - plan.stack.length;
  const closer = plan.residual ? plan.residual.worstM - second.residual.worstM : 0;
  const trade = [
    closer > 1e-5
      ? `${formatSmall(closer, units.small)} nearer`
      : closer < -1e-5
        ? `${formatSmall(-closer, units.small)} farther off`
        : '',
    more > 0
      ? `${more} more ring${more === 1 ? '' : 's'}`
      : more < 0
        ? `${-more} fewer ring${more === -1 ? '' : 's'}`
        : '',
    second.allowance === 'notMet' && plan.allowance === 'met' ? 'not safely within tolerance' : '',
  ].filter(Boolean);
  return (
    <section class="runner-up" aria-label="Runner-up">
      <h3>Runner-up</h3>
      <p>
        <b>
          {count}, worst {worstWords(signedWorst(second.residual), 2 * plan.finished.sigmaRimM, units)}.
        </b>{' '}
        {stackSentence(second.stack, ringCatalogue) || 'Frame set straight on the seat'}
        {trade.length > 0 ? `: ${trade.join(', ')}.` : '.'}
      </p>
    </section>
  );
}
