import { useState } from 'preact/hooks';
import type { RingFact } from '#core/field/facts.ts';
import { azimuthOfClock } from '#core/units/clock.ts';
import { degrees, radians } from '#core/units/slope.ts';
import type { CoverCard } from '#shared/cover.ts';
import { Count } from '../keys/count.tsx';
import { hourShort, hoursOf, isTapered, ringName, towards } from './ring-words.ts';

interface Props {
  title: string;
  card: CoverCard;
  first: RingFact | null;
  mayLeaveOut: boolean;
  onPick: (used: RingFact | null) => void;
  onCancel: () => void;
}

/** Which ring really went in, and for a tapered one where its thick side points. */
export function RingPicker({ title, card, first, mayLeaveOut, onPick, onCancel }: Props) {
  const { ringCatalogue, roadBearingDeg, offsetM } = card;
  const [ring, setRing] = useState(first?.ring ?? null);
  const [hour, setHour] = useState((first && hoursOf(first, card)?.thick) ?? 12);
  const needsTurn = ring !== null && isTapered(ring, ringCatalogue);
  const pick = () => {
    if (ring === null) return;
    const azimuthDeg = needsTurn ? degrees(azimuthOfClock(hour, radians(roadBearingDeg ?? 0))) : null;
    onPick({ ring, azimuthDeg });
  };
  return (
    <section class="sheet" aria-label={title}>
      <h2>{title}</h2>
      <div class="ring-choices">
        {(ringCatalogue?.rings ?? []).map(({ id }) => (
          <button type="button" key={id} aria-pressed={id === ring} onClick={() => setRing(id)}>
            {ringName(id, ringCatalogue)}
          </button>
        ))}
      </div>
      {needsTurn && (
        <>
          <Count
            label="Thick side at"
            value={hour}
            least={0.5}
            most={12}
            step={0.5}
            unit={hour % 1 ? `= ${hourShort(hour)}` : 'o’clock'}
            onChange={setHour}
          />
          <p>
            {roadBearingDeg === null ? 'from grid north' : `${towards(hour, offsetM)}, looking up-station`}
          </p>
        </>
      )}
      <div class="row">
        <button type="button" class="big main" disabled={ring === null} onClick={pick}>
          This one is in
        </button>
        <button type="button" class="big" onClick={onCancel}>
          Back
        </button>
      </div>
      {mayLeaveOut && (
        <button type="button" class="big" onClick={() => onPick(null)}>
          None: it was left out
        </button>
      )}
    </section>
  );
}
