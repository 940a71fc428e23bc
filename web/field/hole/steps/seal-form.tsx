import { useState } from 'preact/hooks';
import type { SealedJoint } from '#core/field/facts.ts';
import { isSeatRough } from '#core/field/seat.ts';
import { thickEnds } from '#core/seal/sealPlan.ts';
import { usualJointOf } from '../../../figures.ts';
import { readKept, writeKept } from '../kept.ts';
import { Choice, Tick } from '../keys/choice.tsx';
import { Count } from '../keys/count.tsx';
import { entryText } from '../keys/entry.ts';
import { OneSize } from '../keys/one-size.tsx';
import { TextField } from '../keys/text-field.tsx';
import { jointPlace } from '../stack/beads.ts';
import { stackInForce } from '../stack/in-force.ts';
import { lastOf, standing } from '../standing.ts';
import { type FormProps, metresOf, wayOf } from './form.ts';
import { type JointDraft, jointsFor, sealedJoints } from './seal-joints.ts';
import { isThickCounted, ThickRope } from './thick-rope.tsx';

const formWords = [
  { value: 'rope', word: 'Rope' },
  { value: 'bead', word: 'Bead from a tube' },
] as const;
const yesNo = [
  { value: 'no', word: 'Same in every joint' },
  { value: 'yes', word: 'Thick at bottom and top' },
] as const;

/** What lies in every joint. Where a vacuum test is asked for a tube is refused, and thick rope is solved for first. */
export function SealForm({ hole, save }: FormProps) {
  const { units, records, card } = hole;
  const { vacuum: isVacuumAsked } = hole.accepted;
  const force = stackInForce(card, records);
  const isThickInForce = force !== null && thickEnds(force.joint, usualJointOf(card.ringCatalogue)).base;
  // What the agency asks for now comes before what the stack was solved with: it is solved anew then.
  const thickRope =
    (isVacuumAsked ? hole.accepted.thickRope : null) ?? (isThickInForce ? force.joint.base : null);
  const rings = (lastOf(records, 'ringsUsed')?.facts.stack ?? force?.stack ?? []).length;
  const way = wayOf(units);
  const isMetric = units.smallUnit === 'mm';
  const [form, setForm] = useState<SealedJoint['form'] | null>(
    isVacuumAsked || isThickInForce ? 'rope' : null,
  );
  const productKey = `${hole.project.id}:sealants`;
  const often = readKept<string[]>(productKey, []);
  const [product, setProduct] = useState(often[0] ?? '');
  const [size, setSize] = useState(isMetric ? '12' : '1/2');
  const [isThick, setThick] = useState<'yes' | 'no'>(thickRope !== null ? 'yes' : 'no');
  // Common practice, no source, where the agency gives no figure: a 1 in rope pressed to 5/16 in.
  const [thickSize, setThickSize] = useState(isMetric ? '25' : '1');
  const [pressed, setPressed] = useState(
    thickRope === null ? (isMetric ? '8' : '5/16') : entryText(thickRope, way),
  );
  const [counts, setJoints] = useState<readonly JointDraft[]>(() =>
    isSeatRough(standing(records)) ? [{ count: 2, endsJoined: false }] : [],
  );
  // The stack may change under the form, when thick rope is solved for.
  const joints = jointsFor(counts, rings);
  const sizeM = metresOf(size, way);
  const thickM = isThick === 'yes' ? metresOf(thickSize, way) : null;
  const pressedM = metresOf(pressed, way);
  const isTubeRefused = form === 'bead' && isVacuumAsked;
  const isCounted = isThick === 'no' || (pressedM !== null && isThickCounted(hole, pressedM));
  const isReady =
    form !== null &&
    !isTubeRefused &&
    sizeM !== null &&
    sizeM > 0 &&
    isCounted &&
    (isThick === 'no' || (thickM ?? 0) > 0);
  const change = (index: number, part: Partial<JointDraft>) =>
    setJoints(joints.map((one, at) => (at === index ? { ...one, ...part } : one)));
  const record = () => {
    const name = product.trim();
    if (name) writeKept(productKey, [name, ...often.filter((one) => one !== name)].slice(0, 4));
    save('sealed', { joints: sealedJoints({ form: form!, product, sizeM: sizeM!, thickM, joints }) });
  };
  return (
    <>
      <Choice label="Sealant" value={form} options={formWords} onChoose={setForm} />
      {isTubeRefused && (
        <p class="note stop">
          <b>No tube here: this cover is vacuum tested.</b> Lay rope in every joint.
        </p>
      )}
      <TextField label="Product" value={product} most={100} often={often} onText={setProduct} />
      <OneSize
        label={form === 'bead' ? 'Bead, width' : 'Rope, thickness'}
        text={size}
        way={way}
        units={units}
        onText={setSize}
      />
      {form === 'rope' && force !== null && (
        <Choice label="Rope" value={isThick} options={yesNo} onChoose={setThick} />
      )}
      {isThick === 'yes' && (
        <>
          <OneSize
            label="Thick rope, thickness"
            text={thickSize}
            way={way}
            units={units}
            onText={setThickSize}
          />
          <OneSize label="Pressed down to" text={pressed} way={way} units={units} onText={setPressed} />
          {pressedM !== null && pressedM > 0 && <ThickRope hole={hole} pressedM={pressedM} />}
        </>
      )}
      <Tick
        word="Ends joined in every joint"
        value={joints.every(({ endsJoined }) => endsJoined)}
        onChange={(endsJoined) => setJoints(joints.map((one) => ({ ...one, endsJoined })))}
      />
      <ol class="joints" reversed>
        {joints
          .map(({ count, endsJoined }, index) => (
            <li key={index}>
              <Count
                label={`${index === rings && rings > 0 ? 'Under the frame, ' : ''}${jointPlace(index)}${index === 0 ? ' (two where it is rough)' : ''}`}
                value={count}
                least={1}
                most={6}
                onChange={(next) => change(index, { count: next })}
              />
              <Tick
                word="ends joined"
                value={endsJoined}
                onChange={(next) => change(index, { endsJoined: next })}
              />
            </li>
          ))
          .reverse()}
      </ol>
      <button type="button" class="big main" disabled={!isReady} onClick={record}>
        {isCounted ? 'Record the seal' : 'Solve for the thick rope first'}
      </button>
    </>
  );
}
