import { useState } from 'preact/hooks';
import { formatSmall } from '#core/units/format.ts';
import { IntoView } from '../into-view.tsx';
import { useKept } from '../kept.ts';
import { Cross } from '../keys/cross.tsx';
import { entryText, readEntry, type Way } from '../keys/entry.ts';
import { OneSize } from '../keys/one-size.tsx';
import { WayChoice } from '../keys/way-choice.tsx';
import { lastOf } from '../standing.ts';
import type { Hole } from '../types.ts';
import { plainSize } from '../units.ts';
import { Answer } from './answer.tsx';
import { ChosenHere } from './chosen-here.tsx';
import { doubtWords } from './doubt.ts';
import { readDraft, type TapeDraft, type TapesRead } from './read.ts';
import { TruckLine } from './truck-line.tsx';

/** 15 in and 380 mm: well on the bearing of a 34 in ring. Common practice, no source. */
const usualRadius: Record<Way, string> = { inches: '15', feet: '1.25', millimetres: '380', metres: '0.38' };

/** Four tapes down from string or straightedge on grade, and the stack that they ask for. */
export function TapesTab({ hole }: { hole: Hole }) {
  const { card, units, project } = hole;
  const first: TapeDraft = {
    way: units.smallUnit === 'mm' ? 'millimetres' : 'inches',
    texts: ['', '', '', ''],
    radius: usualRadius[units.smallUnit === 'mm' ? 'millimetres' : 'inches'],
  };
  const [draft, keep] = useKept<TapeDraft>(`${project.id}:${card.structure.id}:tapes`, first);
  // An answer is one of these tapes: other tapes have none yet.
  const [solved, setSolved] = useState<string | null>(null);
  const read = readDraft(draft, card);
  const asText = JSON.stringify(draft);
  if (card.structure.adjustment === 'telescoping')
    return <p class="note">A telescoping top takes no rings. Set it to the string.</p>;
  const chosen = lastOf(hole.records, 'stackChosen');
  return (
    <div class="tapes-tab">
      {chosen && <ChosenHere hole={hole} chosen={chosen} />}
      <p>
        String on grade. Measure <b>down to the seat</b>, at the radius below.
      </p>
      {card.roadBearingDeg === null && (
        <p class="note stop">
          <b>The direction of the road is not known here.</b> 12 stands for grid north until it is.
        </p>
      )}
      <WayChoice way={draft.way} onWay={(way) => keep(inOtherWay(draft, way))} />
      <Cross
        what="Tape"
        texts={draft.texts}
        way={draft.way}
        units={units}
        offset={card.offsetM}
        doubted={read.state === 'disagree' && read.doubt.what === 'tape' ? read.doubt.index : null}
        onTexts={(texts) => keep({ ...draft, texts })}
      />
      <OneSize
        label="Out from the middle"
        text={draft.radius}
        way={draft.way}
        units={units}
        onText={(radius) => keep({ ...draft, radius })}
      />
      <Agreement read={read} unit={units.smallUnit} />
      <TruckLine hole={hole} onChange={() => setSolved(null)} />
      {read.state === 'agree' && solved === asText ? (
        <IntoView>
          <Answer hole={hole} tapes={read.tapes} />
        </IntoView>
      ) : (
        <button
          type="button"
          class="big main"
          disabled={read.state !== 'agree'}
          onClick={() => setSolved(asText)}
        >
          Solve with these tapes
        </button>
      )}
    </div>
  );
}

/** The same sizes typed the other way; what cannot be read stays as it is. */
function inOtherWay(draft: TapeDraft, way: Way): TapeDraft {
  const turn = (text: string) => {
    const read = readEntry(text, draft.way, 'in');
    return read !== null && 'metres' in read ? entryText(read.metres, way) : text;
  };
  const isUsual = draft.radius === usualRadius[draft.way];
  return {
    way,
    texts: draft.texts.map(turn) as TapeDraft['texts'],
    radius: isUsual ? usualRadius[way] : turn(draft.radius),
  };
}

function Agreement({ read, unit }: { read: TapesRead; unit: 'in' | 'mm' }) {
  const size = (metres: number) => plainSize(metres, unit);
  return (
    <p class={`agreement${read.state === 'disagree' ? ' stop' : ''}`} role="status">
      {read.state === 'disagree' && (
        <>
          {doubtWords(read.misclosure, read.doubt, size)}
          {read.doubt.what === 'unknown' && ' If it stays so, the seat is not flat: mortar bed, under Steps.'}
        </>
      )}
      {read.state === 'agree' && (
        <>
          <b>✓ Tapes agree.</b> 12 + 6 is 9 + 3{' '}
          {size(read.tapes.misclosureM) === size(0)
            ? ''
            : `to ${formatSmall(Math.abs(read.tapes.misclosureM), unit === 'mm' ? 'millimetres' : 'fractionInches')}`}
        </>
      )}
      {read.state === 'incomplete' && 'All four tapes first; then they are held against each other.'}
    </p>
  );
}
