import type { Takeoff, TakeoffRing } from '#shared/takeoff.ts';
import { RingSide } from '../../drawings/ring-side.tsx';
import { StockBar, StockBarPattern } from '../../drawings/stock-bar.tsx';
import { isFiltered } from '../../find/rows.ts';
import { view } from '../../state.ts';
import { ask } from '../../takeoff/asked.ts';
import { isInUse, orderText, shortWords, sizeWords } from '../../takeoff/figures.ts';

/** A row a ring with what is needed, there and to order; or only those that are short. */
export function RingList({ value }: { value: Takeoff }) {
  const { isShort } = view.value.takeoff;
  const rows = value.rings.filter((ring) => (isShort ? ring.short > 0 : isInUse(ring)));
  const idle = value.rings.filter((ring) => !isInUse(ring)).length;
  const mostM = Math.max(0.001, ...value.rings.map(({ thickM }) => thickM));
  const most = Math.max(1, ...value.rings.map(({ needed, spare }) => needed + spare));
  return (
    <section aria-label="Rings">
      <div class="takeoff-head">
        <h2>{isShort ? 'What is short' : 'Rings'}</h2>
        <button type="button" class="chip" aria-pressed={isShort} onClick={() => ask({ isShort: !isShort })}>
          Only what is short
        </button>
      </div>
      <p>{shortWords(value)}</p>
      <StockBarPattern />
      {rows.length > 0 && (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard.
        <section class="wide" tabIndex={0} aria-label="Table of rings">
          <table class="ring-list">
            <thead>
              <tr>
                <th scope="col" colSpan={2}>
                  Ring
                </th>
                <th scope="col">To order</th>
                <th scope="col" class="number">
                  Needed
                </th>
                <th scope="col" class="drawn-bar">
                  On hand of needed
                </th>
                {['Spare', 'On hand', 'Short', 'Left after', 'Built'].map((heading) => (
                  <th key={heading} scope="col" class="number">
                    {heading}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {rows.map((ring) => (
                <RingRow key={ring.ring} ring={ring} unit={value.unit} mostM={mostM} most={most} />
              ))}
            </tbody>
          </table>
        </section>
      )}
      {!isShort && (
        <p class="quiet">
          Left after is on hand and ordered, less what is needed: the spares are in it.
          {isFiltered.value && ' On hand is all that is there, whatever the filter leaves.'}
          {idle > 0 &&
            ` ${idle === 1 ? '1 ring' : `${idle} rings`} of the catalogue ${idle === 1 ? 'is' : 'are'} not needed.`}
        </p>
      )}
    </section>
  );
}

interface RowProps {
  ring: TakeoffRing;
  unit: 'in' | 'mm';
  mostM: number;
  most: number;
}

const figure = (count: number) => count.toLocaleString('en');

function RingRow({ ring, unit, mostM, most }: RowProps) {
  const { needed, spare, onHand, short, packs, toOrder, pack, leftOver, built } = ring;
  return (
    <tr>
      <td class="drawn">
        <RingSide thinM={ring.thinM} thickM={ring.thickM} mostM={mostM} />
      </td>
      <th scope="row">
        <b>{sizeWords(ring, unit)}</b> <span class="quiet">{ring.ring}</span>
      </th>
      <td class="order">
        {packs > 0 ? <b>{orderText(ring)}</b> : <span class="quiet">none</span>}
        {pack > 1 && packs > 0 && <span class="quiet order-rings">{figure(toOrder)} rings</span>}
      </td>
      <td class="number">{figure(needed)}</td>
      <td class="drawn-bar">
        <StockBar needed={needed} spare={spare} onHand={onHand} most={most} />
      </td>
      <td class="number">{figure(spare)}</td>
      <td class="number">{onHand === null ? <span class="quiet">not counted</span> : figure(onHand)}</td>
      <td class={`number${short > 0 && onHand !== null ? ' wrong' : ''}`}>{figure(short)}</td>
      <td class="number">{figure(leftOver)}</td>
      <td class="number">{built === 0 ? <span class="quiet">0</span> : figure(built)}</td>
    </tr>
  );
}
