import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { Choice } from '../keys/choice.tsx';
import { Count } from '../keys/count.tsx';
import { OneSize } from '../keys/one-size.tsx';
import { type FormProps, metresOf, wayOf } from './form.ts';

type Lift = Facts['liftReached'];

const stages = [
  { value: 'milled', word: 'Milled' },
  { value: 'lift', word: 'A lift' },
  { value: 'finished', word: 'Finished' },
] as const;
const ways = [
  { value: 'raised', word: 'Raised to this surface' },
  { value: 'leftPlated', word: 'Left plated' },
  { value: 'leftLow', word: 'Left low' },
] as const;

/** What was done with the frame at one stage of the paving; the rim against that surface where it was raised. */
export function LiftForm({ hole, save }: FormProps) {
  const [stage, setStage] = useState<Lift['stage'] | null>(null);
  const [lift, setLift] = useState(1);
  const [way, setWay] = useState<Lift['way'] | null>(null);
  const [error, setError] = useState('');
  const typed = wayOf(hole.units);
  const surface = hole.card.plan?.stageElevations.find(
    (one) => one.stage === stage && (stage !== 'lift' || one.lift === lift),
  );
  const off = metresOf(error, typed);
  const asks = way === 'raised' && surface !== undefined;
  return (
    <>
      <Choice label="Surface" value={stage} options={stages} onChoose={setStage} />
      {stage === 'lift' && (
        <Count label="Lift from below" value={lift} least={1} most={20} onChange={setLift} />
      )}
      <Choice label="The frame was" isList value={way} options={ways} onChoose={setWay} />
      {asks && (
        <OneSize
          label="Rim against it: low or proud"
          text={error}
          way={typed}
          units={hole.units}
          hasSide
          onText={setError}
        />
      )}
      <button
        type="button"
        class="big main"
        disabled={stage === null || way === null || (error.trim() !== '' && off === null)}
        onClick={() =>
          save('liftReached', {
            stage: stage!,
            lift: stage === 'lift' ? lift : null,
            way: way!,
            rimElevationM: asks && off !== null ? surface.elevationM + off : null,
          })
        }
      >
        Record this stage
      </button>
    </>
  );
}
