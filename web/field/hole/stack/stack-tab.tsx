import { sayReason } from '#core/decision/words.ts';
import { formatSmall } from '#core/units/format.ts';
import { nominal } from '../../../units.ts';
import { decisionSentence } from '../../../words.ts';
import { lastOf, timeText } from '../standing.ts';
import type { Hole } from '../types.ts';
import { lowOrProud } from '../units.ts';
import { BigSize } from './big-size.tsx';
import { seatToRim } from './heights.ts';
import { HoleClock } from './hole-clock.tsx';
import { fitOf, raiseOf, type StackInForce, stackInForce } from './in-force.ts';
import { NewStackNote } from './new-stack.tsx';
import { hourShort, hoursOf, towards } from './ring-words.ts';
import { RopeMissing } from './rope-missing.tsx';
import { SealKit } from './seal-kit.tsx';
import { Slabs } from './slabs.tsx';

/** What has to stand here, from the seat up. */
export function StackTab({ hole }: { hole: Hole }) {
  const force = stackInForce(hole.card, hole.records);
  return (
    <div class="stack-tab">
      <NewStackNote hole={hole} />
      <Raise hole={hole} force={force} />
      {force === null ? (
        <NoStack hole={hole} />
      ) : (
        <>
          <RopeMissing hole={hole} force={force} />
          <SeatChanged hole={hole} force={force} />
          <Turns hole={hole} force={force} />
          <Slabs hole={hole} force={force} />
          <SealKit hole={hole} force={force} />
          <Heights hole={hole} force={force} />
        </>
      )}
      <WhichPlan hole={hole} />
    </div>
  );
}

/** A bed of mortar lifts the seat: what was solved before it no longer fits. */
function SeatChanged({ hole, force }: { hole: Hole; force: StackInForce }) {
  const bed = lastOf(hole.records, 'mortarBed');
  const tapedAt = force.chosen?.facts.tapes ? force.chosen.deviceTime : '';
  if (bed === null || bed.deviceTime <= tapedAt) return null;
  return (
    <p class="note stop">
      <b>A mortar bed lies on the seat since.</b> Tape again before you stack.
    </p>
  );
}

function Raise({ hole, force }: { hole: Hole; force: StackInForce | null }) {
  const { card, units } = hole;
  const raise = raiseOf(card, force?.target ?? null);
  // Where nothing is stacked a huge figure would be taken for an order.
  if (raise === null || (force === null && card.structure.adjustment !== 'telescoping')) return null;
  const tolerance = nominal(card.limits.toleranceM.value, units);
  return (
    <header class="raise">
      <span class="raise-word">{raise < 0 ? 'Lower' : 'Raise'}</span>
      <BigSize metres={raise} unit={units.smallUnit} />
      <span class="raise-limit">rim to end within {tolerance} all round</span>
    </header>
  );
}

/** The clock, and the hours of the tapered rings large beside it. */
function Turns({ hole: { card }, force }: { hole: Hole; force: StackInForce }) {
  const tapers = force.stack.flatMap((placed, index) => {
    const hours = hoursOf(placed, card);
    return hours ? [{ number: index + 1, ...hours }] : [];
  });
  if (card.roadBearingDeg === null && force.stack.some(({ azimuthDeg }) => azimuthDeg !== null))
    return (
      <p class="note stop">
        <b>The direction of the road is not known here,</b> so no clock can be drawn. Thick sides are given
        from grid north; ask before you turn a taper.
      </p>
    );
  if (tapers.length === 0) return null;
  return (
    <section class={`turns${tapers.length > 1 ? ' several' : ''}`} aria-label="How to turn the tapers">
      <HoleClock tapers={tapers} offset={card.offsetM} />
      <div class="turn-words">
        {tapers.map(({ number, thick, thin }) => (
          <p key={number}>
            {tapers.length > 1 && <span class="turn-ring">Ring {number}</span>}
            <b class="hour">{hourShort(thick)}</b>
            <span>thick side, {towards(thick, card.offsetM)}</span>
            {tapers.length === 1 && (
              <>
                <b class="hour">{hourShort(thin)}</b>
                <span>thin side, {towards(thin, card.offsetM)}</span>
              </>
            )}
          </p>
        ))}
        <p class="looking">looking up-station</p>
      </div>
    </section>
  );
}

/** What a tape shows from seat to rim once the stack stands dry, and how far the rim then is from its target. */
function Heights({ hole, force }: { hole: Hole; force: StackInForce }) {
  const { card, units } = hole;
  const fit = force.target && fitOf(card, force.target, force);
  if (!fit || !force.target || card.roadBearingDeg === null) return null;
  const worst = fit.centre < 0 ? -fit.worst : fit.worst;
  const [twelve, three, six, nine] = seatToRim(force.target, fit.rim, card.roadBearingDeg).map((size) =>
    formatSmall(size, units.small),
  );
  return (
    <section class="heights" aria-label="Seat to rim at the four clocks">
      <h2>Check, seat to rim</h2>
      <dl>
        <div class="at-12">
          <dt>12</dt>
          <dd>{twelve}</dd>
        </div>
        <div class="at-9">
          <dt>9</dt>
          <dd>{nine}</dd>
        </div>
        <div class="at-3">
          <dt>3</dt>
          <dd>{three}</dd>
        </div>
        <div class="at-6">
          <dt>6</dt>
          <dd>{six}</dd>
        </div>
      </dl>
      <p>
        Worked out, rim ends at worst <b>{lowOrProud(worst, units)}</b>;{' '}
        {nominal(card.limits.toleranceM.value, units)} is allowed.
      </p>
    </section>
  );
}

function NoStack({ hole: { card, units } }: { hole: Hole }) {
  const { plan, structure } = card;
  if (structure.adjustment === 'telescoping')
    return <p class="note">A telescoping top: turn or slide it to grade. It takes no rings.</p>;
  if (!plan) return <p class="note">Not planned yet. Tape it and solve here, or wait for the plan.</p>;
  return (
    <section class="note">
      <p>
        <b>{decisionSentence(plan, card.ringCatalogue, units)}</b>
      </p>
      {plan.reasons.map((reason) => (
        <p key={reason.code}>{sayReason(reason, units)}</p>
      ))}
      {structure.seatElevationM === null && (
        <p>
          <b>At the hole four tapes do it:</b> string on grade, measure down to the seat, and solve under
          Tapes. Whatever the seat's elevation is, the stack then fits.
        </p>
      )}
    </section>
  );
}

/** Which plan this is, so that an old one is seen to be old; and the stack chosen here in its place. */
function WhichPlan({ hole: { card, records } }: { hole: Hole }) {
  const chosen = lastOf(records, 'stackChosen');
  const at = card.plans.find(({ revision }) => revision === card.plan?.revision)?.at;
  const plan = card.plan ? `Plan ${card.plan.revision}${at ? `, ${timeText(at)}` : ''}` : 'No plan';
  return (
    <p class="which-plan">
      {chosen ? (
        <>
          <b>Chosen here</b> by {chosen.by}, {timeText(chosen.deviceTime)}:{' '}
          {chosen.facts.reason || chosen.facts.because}. In place of{' '}
          {plan.replace(/^./, (first) => first.toLowerCase())}.
        </>
      ) : (
        `${plan}.`
      )}
      {card.planStale && ' Something changed since this plan: tape before you build.'}
    </p>
  );
}
