import { useState } from 'preact/hooks';
import { slopeOf } from '#core/acceptance/route.ts';
import { nominal } from '../../../units.ts';
import { OneSize } from '../keys/one-size.tsx';
import { type FormProps, metresOf, wayOf } from './form.ts';

/** A bevel over the step at the rim, where a route for people on wheels or on foot crosses it. */
export function BevelForm({ hole, save }: FormProps) {
  const { units, accepted, card } = hole;
  const { vertical, bevelled, bevelSlope } = accepted.accessible;
  const [texts, setTexts] = useState({ rise: '', run: '' });
  const way = wayOf(units);
  const [rise, run] = [metresOf(texts.rise, way), metresOf(texts.run, way)];
  const isReady = rise !== null && run !== null && rise > 0 && run > 0;
  const isSteep = isReady && slopeOf({ rise, run }) > bevelSlope + 1e-6;
  return (
    <>
      <p>
        {card.structure.accessibleRoute
          ? 'An accessible route crosses this cover.'
          : 'No accessible route crosses this cover: nothing here asks for a bevel.'}{' '}
        A step over {nominal(vertical, units)} takes a bevel no steeper than 1:{1 / bevelSlope}, and none over{' '}
        {nominal(bevelled, units)} is allowed.
      </p>
      <OneSize
        label="Steepest place: rise"
        text={texts.rise}
        way={way}
        units={units}
        onText={(text) => setTexts({ ...texts, rise: text })}
      />
      <OneSize
        label="Steepest place: run, level"
        text={texts.run}
        way={way}
        units={units}
        onText={(text) => setTexts({ ...texts, run: text })}
      />
      {isReady && (
        <p class={`note${isSteep ? ' stop' : ''}`} role="status">
          <b>1:{(run / rise).toFixed(1)}</b>{' '}
          {isSteep ? `is too steep: 1:${1 / bevelSlope} at most.` : 'is flat enough.'}
        </p>
      )}
      <button
        type="button"
        class="big main"
        disabled={!isReady}
        onClick={() => save('bevelled', { riseM: rise!, runM: run! })}
      >
        Record the bevel
      </button>
    </>
  );
}
