import { useState } from 'preact/hooks';
import { readKept, writeKept } from '../kept.ts';
import { OneSize } from '../keys/one-size.tsx';
import { TextField } from '../keys/text-field.tsx';
import { openPlate, timeText } from '../standing.ts';
import { type FormProps, metresOf, wayOf } from './form.ts';
import { noTie, readTies, type TieDraft } from './tie-draft.ts';
import { Ties } from './ties.tsx';

export function PlateForm(props: FormProps) {
  return openPlate(props.hole.records) === null ? <Plate {...props} /> : <Reopen {...props} />;
}

function Plate({ hole, save }: FormProps) {
  const key = `${hole.project.id}:plates`;
  const [plate, setPlate] = useState('');
  const [lowered, setLowered] = useState('');
  const [ties, setTies] = useState<TieDraft[]>([noTie, noTie]);
  const before = readKept<string[]>(key, []);
  const way = wayOf(hole.units);
  const read = readTies(ties);
  const rim = hole.card.structure.rimElevationM;
  const by = metresOf(lowered, way);
  const isFaulty = lowered.trim() !== '' && by === null;
  const record = () => {
    writeKept(key, [plate.trim(), ...before.filter((one) => one !== plate.trim())].slice(0, 4));
    save('plated', {
      plate: plate.trim(),
      rimElevationM: rim === null || by === null ? null : rim - by,
      ties: read!,
    });
  };
  return (
    <>
      <TextField label="Plate number" value={plate} most={60} often={before} onText={setPlate} />
      <OneSize
        label="Rim or seat now below the old rim"
        text={lowered}
        way={way}
        units={hole.units}
        onText={setLowered}
      />
      <Ties drafts={ties} units={hole.units} onDrafts={setTies} />
      <p>
        <b>Pin it, ramp it.</b> It stays on the list of plates until you reopen it.
      </p>
      {read === null && <p class="fault">A tie needs what it goes to, and its length.</p>}
      {read?.length === 0 && (
        <p class="out-of-order">Without ties a paved-over plate is hard to find again.</p>
      )}
      <button
        type="button"
        class="big main"
        disabled={plate.trim() === '' || read === null || isFaulty}
        onClick={record}
      >
        Record: lowered and plated
      </button>
    </>
  );
}

function Reopen({ hole, save }: FormProps) {
  const record = openPlate(hole.records)!;
  const { plate } = record.facts;
  return (
    <>
      <p>
        <b>Plate {plate}</b> has lain here since {timeText(record.deviceTime)} ({record.by}). Barricade before
        you lift it; two people or a hoist.
      </p>
      <button type="button" class="big main" onClick={() => save('reopened', { plate })}>
        Record: plate {plate} is off
      </button>
    </>
  );
}
