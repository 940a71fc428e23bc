import type { RingFact, TapesTaken } from '#core/field/facts.ts';
import { formatSmall } from '#core/units/format.ts';
import { nominal } from '../../../units.ts';
import { fitOf, stackInForce, tapedTarget } from '../stack/in-force.ts';
import { MiniStack } from '../stack/mini-stack.tsx';
import { ringName, sameStack } from '../stack/ring-words.ts';
import { jointToSolve } from '../stack/rope.ts';
import { missingOn, readTruck, truckFact } from '../truck.ts';
import type { Hole } from '../types.ts';
import { lowOrProud } from '../units.ts';
import { solveHere } from './solve.ts';

/** What the tapes ask for, beside what was planned; first whether that changed. Choosing records it. */
export function Answer({ hole, tapes }: { hole: Hole; tapes: TapesTaken }) {
  const { card, records, units } = hole;
  const truck = readTruck(hole);
  const old = stackInForce(card, records);
  const joint = jointToSolve(card, old);
  const target = tapedTarget(card, tapes);
  const solved = solveHere(card, { target, truck, joint });
  if (solved === null)
    return <p class="note stop">This phone has no ring catalogue for the project. Load the night again.</p>;
  const oldFit = old && fitOf(card, target, { stack: old.stack, joint });
  const tolerance = card.limits.toleranceM.value;
  const missing = old ? missingOn(truck, old.stack) : [];
  const keeps = oldFit !== null && oldFit.worst <= tolerance && missing.length === 0;
  const isSame = old !== null && sameStack(old.stack, solved.stack);
  const choose = (stack: RingFact[], fit: { worst: number; centre: number; tilt: number }) => {
    const oldWords = oldFit
      ? `the planned stack would end ${lowOrProud(signed(oldFit), units)}`
      : 'there was no stack';
    const because = missing.length > 0 && oldFit !== null && oldFit.worst <= tolerance ? 'truck' : 'tapes';
    hole.record('stackChosen', {
      because,
      reason: because === 'truck' ? `Not on the truck: ${missing.join(', ')}` : `By four tapes ${oldWords}`,
      tapes,
      truck: truckFact(truck),
      jointM: joint,
      stack,
      worstM: fit.worst,
      centreM: fit.centre,
      tiltM: fit.tilt,
      planRevision: card.plan?.revision ?? null,
      planStack: card.plan?.stack ?? [],
    });
  };
  return (
    <section class="answer" aria-label="What the tapes ask for" aria-live="polite">
      <p class="verdict">
        <b>
          {isSame
            ? 'Same stack.'
            : keeps
              ? 'The planned stack still fits.'
              : old
                ? 'The stack changes.'
                : 'A stack from the tapes.'}
        </b>{' '}
        {!isSame && oldFit && `As planned the rim would end ${lowOrProud(signed(oldFit), units)}.`}{' '}
        {missing.length > 0 &&
          `Not on the truck: ${missing.map((id) => ringName(id, card.ringCatalogue).toLowerCase()).join(', ')}.`}
      </p>
      <p>Seat to grade in the middle {formatSmall(target.rise, units.small)}.</p>
      <div class="side-by-side">
        {old && !isSame && (
          <Side
            title={old.chosen ? 'Chosen before' : 'Planned'}
            hole={hole}
            stack={old.stack}
            fit={oldFit}
            word={keeps ? 'Build as planned' : null}
            isMain={keeps}
            onChoose={choose}
          />
        )}
        <Side
          title="By tapes"
          hole={hole}
          stack={solved.stack}
          fit={solved}
          word={
            isSame ? 'Build it, by these tapes' : solved.isWithin ? 'Build this' : 'Build this all the same'
          }
          isMain={(isSame || !keeps) && solved.isWithin}
          onChoose={choose}
        />
      </div>
      {!solved.isWithin && (
        <p class="note stop">
          <b>Nothing on hand reaches the {nominal(tolerance, units)} allowed.</b> The nearest ends{' '}
          {lowOrProud(signed(solved), units)}. Ask for other rings, or for the engineer.
        </p>
      )}
    </section>
  );
}

const signed = ({ worst, centre }: { worst: number; centre: number }) => (centre < 0 ? -worst : worst);

interface SideProps {
  title: string;
  hole: Hole;
  stack: RingFact[];
  fit: { worst: number; centre: number; tilt: number } | null;
  /** On its button; null for none. */
  word: string | null;
  isMain: boolean;
  onChoose: (stack: RingFact[], fit: { worst: number; centre: number; tilt: number }) => void;
}

function Side({ title, hole, stack, fit, word, isMain, onChoose }: SideProps) {
  return (
    <div class="side">
      <h2>{title}</h2>
      <MiniStack stack={stack} card={hole.card} />
      <p>
        Rim ends <b>{fit ? lowOrProud(signed(fit), hole.units) : 'unknown'}</b>
      </p>
      {word && fit && (
        <button type="button" class={`big${isMain ? ' main' : ''}`} onClick={() => onChoose(stack, fit)}>
          {word}
        </button>
      )}
    </div>
  );
}
