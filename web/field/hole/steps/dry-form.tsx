import { useState } from 'preact/hooks';
import { nominal } from '../../../units.ts';
import { Tick } from '../keys/choice.tsx';
import { Cross } from '../keys/cross.tsx';
import { lowOrProud } from '../units.ts';
import { type FormProps, useFour, wayOf } from './form.ts';
import { roundWords } from './round.ts';

/** Stood together without sealant: height and tilt at the rim, and the mark that puts it together again. */
export function DryForm({ hole, save }: FormProps) {
  const { card, units } = hole;
  const way = wayOf(units);
  const { texts, setTexts, four } = useFour(way);
  const [marked, setMarked] = useState(false);
  const tolerance = card.limits.toleranceM.value;
  const worst = four && Math.max(...four.map(Math.abs));
  return (
    <>
      <p>
        Rings dry, frame on. Rim against the string at the four clocks
        {card.structure.setDownM > 0
          ? `, less the ${nominal(card.structure.setDownM, units)} it is set down`
          : ''}
        . The beads come on top later.
      </p>
      <Cross
        what="Rim"
        texts={texts}
        way={way}
        units={units}
        offset={card.offsetM}
        hasSide
        onTexts={setTexts}
      />
      {four && (
        <p class={`note${worst! > tolerance ? ' stop' : ''}`} role="status">
          <b>{roundWords(four, (metres) => lowOrProud(metres, units))}</b>
          {worst! > tolerance &&
            ` Past the ${nominal(tolerance, units)} allowed: tape it and solve again before you seal.`}
        </p>
      )}
      <Tick word="Marked: one chalk line down the whole stack" value={marked} onChange={setMarked} />
      <button
        type="button"
        class="big main"
        disabled={four === null}
        onClick={() => save('dryStacked', { rimErrorsM: four!, marked })}
      >
        {marked ? 'Record the dry stack' : 'Record it, not marked'}
      </button>
    </>
  );
}
