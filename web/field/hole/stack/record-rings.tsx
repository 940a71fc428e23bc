import { useState } from 'preact/hooks';
import { nominal } from '../../../units.ts';
import { Choice } from '../keys/choice.tsx';
import { changeTruck, readTruck, writeTruck } from '../truck.ts';
import type { Hole } from '../types.ts';
import { lowOrProud } from '../units.ts';
import { fitOf, type StackInForce } from './in-force.ts';
import { isAllIn, type Progress, usedStack } from './progress.ts';
import { sameStack } from './ring-words.ts';

const reasons = [
  { value: 'Not on the truck', word: 'Not on the truck' },
  { value: 'Broken or chipped', word: 'Broken or chipped' },
  { value: 'Did not sit', word: 'Did not sit' },
  { value: 'Height came out wrong', word: 'Height was wrong' },
] as const;

interface Props {
  hole: Hole;
  force: StackInForce;
  progress: Progress;
  onRecorded: () => void;
}

/** Once every ring is in: what the rim will do on them, and the button that records them. */
export function RecordRings({ hole, force, progress, onRecorded }: Props) {
  const [reason, setReason] = useState<(typeof reasons)[number]['value'] | null>(null);
  const stack = usedStack(progress);
  const asChosen = sameStack(stack, force.stack);
  if (!isAllIn(progress) || (stack.length === 0 && force.stack.length > 0 && asChosen)) return null;
  const record = () => {
    hole.record('ringsUsed', { stack, asChosen, reason: asChosen ? '' : (reason ?? '') });
    writeTruck(hole, changeTruck(readTruck(hole), stack, -1));
    onRecorded();
  };
  return (
    <div class="record-rings">
      {!asChosen && (
        <>
          <Changed hole={hole} force={force} stack={stack} />
          <Choice isGrid label="Why other rings?" value={reason} options={reasons} onChoose={setReason} />
        </>
      )}
      <button type="button" class="big main" disabled={!asChosen && reason === null} onClick={record}>
        {stack.length === 0
          ? 'Record: no rings, frame on the seat'
          : `Record ${stack.length} ${stack.length === 1 ? 'ring' : 'rings'} in place`}
      </button>
    </div>
  );
}

/** Other rings end the rim elsewhere: said before they are recorded. */
function Changed({
  hole,
  force,
  stack,
}: Pick<Props, 'hole' | 'force'> & { stack: Progress['rings'][number]['used'][] }) {
  const { card, units } = hole;
  const rings = stack.filter((ring) => ring !== null);
  const fit = force.target && fitOf(card, force.target, { stack: rings, joint: force.joint });
  if (!fit)
    return <p class="note stop">How the rim ends on these rings is not known. Check it at the rim.</p>;
  const tolerance = card.limits.toleranceM.value;
  const worst = fit.centre < 0 ? -fit.worst : fit.worst;
  const isOff = fit.worst > tolerance;
  return (
    <p class={`note${isOff ? ' stop' : ''}`}>
      <b>With these the rim ends {lowOrProud(worst, units)}.</b>{' '}
      {isOff
        ? `That is past the ${nominal(tolerance, units)} allowed: tape it and solve again.`
        : `Within the ${nominal(tolerance, units)} allowed.`}
    </p>
  );
}
