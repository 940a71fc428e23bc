import { bigSize } from '../units.ts';

/** A size with its fraction stacked, readable at arm's length. */
export function BigSize({ metres, unit }: { metres: number; unit: 'in' | 'mm' }) {
  const { whole, numerator, denominator } = bigSize(metres, unit);
  const said = `${whole} ${numerator ? `${numerator}/${denominator}` : ''} ${unit}`;
  return (
    <span class="big-size">
      <span class="hidden">{said}</span>
      <span aria-hidden="true" class="big-parts">
        {whole && <b class="whole">{whole}</b>}
        {numerator && (
          <span class="part">
            <b>{numerator}</b>
            <b>{denominator}</b>
          </span>
        )}
        <span class="unit">{unit}</span>
      </span>
    </span>
  );
}
