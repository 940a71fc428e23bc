import { formatSmall } from '#core/units/format.ts';
import { usualJointOf } from '../../../figures.ts';
import { nominal } from '../../../units.ts';
import { fitOf, stackInForce } from '../stack/in-force.ts';
import { MiniStack } from '../stack/mini-stack.tsx';
import { sameStack } from '../stack/ring-words.ts';
import { solveHere } from '../tapes/solve.ts';
import { readTruck, truckFact } from '../truck.ts';
import type { Hole } from '../types.ts';
import { lowOrProud } from '../units.ts';
import { thickGain, thickJoint } from './seal-joints.ts';

/** The stack in force was solved with joints pressed to this at bottom and top: to 0.1 mm. */
export function isThickCounted(hole: Hole, pressedM: number): boolean {
  const force = stackInForce(hole.card, hole.records);
  if (force === null) return true;
  const then = thickJoint(usualJointOf(hole.card.ringCatalogue), pressedM);
  return Math.abs(then.base - force.joint.base) < 1e-4 && Math.abs(then.top - force.joint.top) < 1e-4;
}

const signed = ({ worst, centre }: { worst: number; centre: number }) => (centre < 0 ? -worst : worst);

/** Thick rope lifts the frame: what that does, and the stack that takes it in. Nothing is sealed before it is chosen. */
export function ThickRope({ hole, pressedM }: { hole: Hole; pressedM: number }) {
  const { card, records, units } = hole;
  const force = stackInForce(card, records);
  if (force === null || force.target === null) return null;
  if (isThickCounted(hole, pressedM)) return <p class="note">The stack counts this rope already.</p>;
  const joint = thickJoint(usualJointOf(card.ringCatalogue), pressedM);
  const truck = readTruck(hole);
  const solved = solveHere(card, { target: force.target, truck, joint });
  const old = fitOf(card, force.target, { stack: force.stack, joint });
  if (solved === null || old === null) return null;
  const gain = thickGain(force.joint, joint, force.stack.length);
  const isSame = sameStack(force.stack, solved.stack);
  const taped = force.chosen?.facts.tapes ?? null;
  const choose = () =>
    hole.record('stackChosen', {
      because: 'seal',
      reason: `Thick rope at bottom and top adds ${formatSmall(gain, units.small)}`,
      tapes: taped,
      truck: truckFact(truck),
      jointM: joint,
      stack: solved.stack,
      worstM: solved.worst,
      centreM: solved.centre,
      tiltM: solved.tilt,
      planRevision: card.plan?.revision ?? null,
      planStack: card.plan?.stack ?? [],
    });
  const tolerance = nominal(card.limits.toleranceM.value, units);
  return (
    <section class="note" aria-label="Thick rope and the stack" role="status">
      <p>
        <b>Thick rope adds {formatSmall(gain, units.small)}.</b> On it the stack as it is ends{' '}
        {lowOrProud(signed(old), units)}; {tolerance} is allowed.
      </p>
      <p>
        <b>{isSame ? 'Same rings, solved with the rope.' : 'The stack changes.'}</b> Rim ends{' '}
        {lowOrProud(signed(solved), units)}.
      </p>
      <MiniStack stack={solved.stack} card={card} />
      {!solved.isWithin && <p class="fault">Nothing on hand reaches {tolerance} with this rope.</p>}
      <button type="button" class="big main" onClick={choose}>
        Build this one
      </button>
    </section>
  );
}
