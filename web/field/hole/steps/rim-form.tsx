import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { nominal } from '../../../units.ts';
import { Choice } from '../keys/choice.tsx';
import { Cross } from '../keys/cross.tsx';
import { lowOrProud } from '../units.ts';
import { type FormProps, useFour, wayOf } from './form.ts';
import { roundWords } from './round.ts';
import { RimVerdict } from './verdicts.tsx';

type Method = Facts['rimChecked']['method'];

const methods = [
  { value: 'string', word: 'String' },
  { value: 'level', word: 'Level' },
  { value: 'totalStation', word: 'Total station' },
  { value: 'gnss', word: 'GNSS' },
] as const;
/** Standard deviation of one rim shot, metres. Common practice, no source. */
const usualSigma: Record<Method, number> = { string: 0.0015, level: 0.002, totalStation: 0.005, gnss: 0.02 };

/** The finished rim at the four clocks against its target, judged at once. */
export function RimForm({ hole, save }: FormProps) {
  const { card, units } = hole;
  const way = wayOf(units);
  const [method, setMethod] = useState<Method>('string');
  const { texts, setTexts, four } = useFour(way);
  const { setDownM } = card.structure;
  const facts = four && { method, rimErrorsM: four, sigmaM: usualSigma[method] };
  return (
    <>
      <p>
        Rim against{' '}
        {setDownM > 0 ? `its target, ${nominal(setDownM, units)} under the surface` : 'the finished surface'}.
        Low is below, proud above.
      </p>
      <Choice label="Measured with" isGrid value={method} options={methods} onChoose={setMethod} />
      <Cross
        what="Rim"
        texts={texts}
        way={way}
        units={units}
        offset={card.offsetM}
        hasSide
        onTexts={setTexts}
      />
      {four && <p>{roundWords(four, (metres) => lowOrProud(metres, units))}</p>}
      {facts && <RimVerdict hole={hole} facts={facts} />}
      <button
        type="button"
        class="big main"
        disabled={facts === null}
        onClick={() => save('rimChecked', facts!)}
      >
        Record the rim
      </button>
    </>
  );
}
