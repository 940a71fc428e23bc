import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { Choice } from '../keys/choice.tsx';
import type { FormProps } from './form.ts';

const surfaces = [
  { value: 'even', word: 'Even and sound' },
  { value: 'rough', word: 'Rough but sound' },
] as const;

/** How the bearing looks once it is clean: a rough one takes two beads. Limits: common practice, no source. */
export function SeatForm({ save }: FormProps) {
  const [surface, setSurface] = useState<Facts['seatSeen']['surface'] | null>(null);
  return (
    <>
      <Choice label="The seat, cleaned" value={surface} options={surfaces} onChoose={setSurface} />
      <p>
        <b>Rough but sound</b> (1/8 to 1/2 in, 3 to 12 mm): two beads side by side on it.{' '}
        <b>Deeper, or chipped:</b> a mortar bed. <b>Broken or cracked:</b> no rings, call the office.
      </p>
      <button
        type="button"
        class="big main"
        disabled={surface === null}
        onClick={() => save('seatSeen', { surface: surface! })}
      >
        Record the seat
      </button>
    </>
  );
}
