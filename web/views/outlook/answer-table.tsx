import { useEffect, useRef } from 'preact/hooks';
import { fixed } from '#core/units/format.ts';
import { fromMetres } from '#core/units/length.ts';
import type { OverlayRow } from '#shared/outlook.ts';
import { goTo, otherProjectOf } from '../../find/search-box.tsx';
import { server } from '../../load.ts';
import { answer, answerWords, type Order, readOrder, shownRows } from '../../outlook/answer.ts';
import { ask } from '../../outlook/asked.ts';
import { farCover } from '../../outlook/choose.ts';
import { chosenRow } from '../../outlook/drawing.ts';
import { show, view } from '../../state.ts';
import { AnswerSymbol } from '../../symbols/answer-symbol.tsx';
import type { Units } from '../../units.ts';
import { bringRowIntoView, Filler, useRowsInSight } from '../rows-in-sight.tsx';

const rowHeight = 36;

interface Column {
  key: Order | 'why';
  heading: (units: Units) => string;
  cell: (row: OverlayRow, units: Units) => preact.ComponentChildren;
}

const size = (metres: number | null, { smallUnit }: Units) =>
  metres === null ? '·' : fixed(fromMetres(metres, smallUnit), smallUnit === 'in' ? 2 : 0);

const columns: Column[] = [
  { key: 'id', heading: () => 'Cover', cell: (row) => <CoverButton row={row} /> },
  { key: 'street', heading: () => 'Street', cell: ({ street }) => street ?? '·' },
  {
    key: 'answer',
    heading: () => 'Answer',
    cell: ({ answer: said }) => (
      <span class="status">
        <AnswerSymbol answer={said} />
        {answerWords[said]}
      </span>
    ),
  },
  {
    key: 'chimney',
    heading: ({ smallUnit }) => `Chimney now, ${smallUnit}`,
    cell: ({ buildupM }, units) => size(buildupM, units),
  },
  {
    key: 'after',
    heading: ({ smallUnit }) => `After, ${smallUnit}`,
    cell: ({ afterM }, units) => size(afterM, units),
  },
  {
    key: 'left',
    heading: ({ smallUnit }) => `Raise left, ${smallUnit}`,
    cell: ({ remainingM }, units) => size(remainingM, units),
  },
  {
    key: 'overlays',
    heading: () => 'Overlays left',
    cell: ({ overlaysLeft }) => (overlaysLeft === null ? '·' : overlaysLeft),
  },
  { key: 'why', heading: () => 'Why', cell: ({ text }) => <span title={text}>{text}</span> },
];

/** The same covers as the map, sortable, each with its reason. */
export function AnswerTable({ units }: { units: Units }) {
  const rows = shownRows.value;
  const scroller = useRef<HTMLElement>(null);
  const sight = useRowsInSight(scroller, rowHeight);
  const chosenAt = chosenRow.value === null ? -1 : rows.findIndex(({ id }) => id === chosenRow.value);
  useEffect(() => bringRowIntoView(scroller.current, { index: chosenAt, rowHeight }), [chosenAt]);
  const inSight = rows.slice(sight.from, sight.to);
  return (
    <div class="table-panel">
      {chosenAt >= 0 && (
        <p class="chosen-answer" role="status">
          <CoverButton row={rows[chosenAt]} /> {rows[chosenAt].text}
        </p>
      )}
      {chosenAt < 0 && farCover.value && farCover.value.id === chosenRow.value && (
        <p class="chosen-answer" role="status">
          <CoverButton row={farCover.value} /> {farCover.value.text ?? ''}{' '}
          <span class="quiet">Not among the rows below.</span>
        </p>
      )}
      <section
        class="table-scroll answers"
        ref={scroller}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region has to be reachable by keyboard.
        tabIndex={0}
        aria-label="Table of covers by their answer"
      >
        <table aria-rowcount={rows.length + 1}>
          <Head units={units} />
          <tbody>
            <Filler rows={Math.min(sight.from, rows.length)} rowHeight={rowHeight} columns={columns.length} />
            {inSight.map((row, index) => (
              <tr
                key={row.id}
                aria-rowindex={sight.from + index + 2}
                class={row.id === chosenRow.value ? 'open' : undefined}
                onClick={() => {
                  chosenRow.value = row.id;
                }}
              >
                {columns.map(({ key, cell }) => (
                  <td key={key} class={`col-${key}`}>
                    {cell(row, units)}
                  </td>
                ))}
              </tr>
            ))}
            <Filler rows={rows.length - sight.to} rowHeight={rowHeight} columns={columns.length} />
          </tbody>
        </table>
        {rows.length === 0 && answer.value.value && <p class="no-rows">No cover has this answer.</p>}
      </section>
    </div>
  );
}

function Head({ units }: { units: Units }) {
  const { by, isDown } = readOrder(view.value.overlay.order);
  const state = (key: string) => (by !== key ? undefined : isDown ? 'descending' : 'ascending');
  const sort = (key: Order) => () => ask({ order: by === key && !isDown ? `-${key}` : key }, 'replace');
  return (
    <thead>
      <tr>
        {columns.map(({ key, heading }) => (
          <th key={key} scope="col" class={`col-${key}`} aria-sort={key === 'why' ? undefined : state(key)}>
            {key === 'why' ? (
              heading(units)
            ) : (
              <button type="button" onClick={sort(key)}>
                {heading(units)}
                {state(key) && <span aria-hidden="true">{state(key) === 'ascending' ? ' ↑' : ' ↓'}</span>}
              </button>
            )}
          </th>
        ))}
      </tr>
    </thead>
  );
}

/** Leads to the card; a cover of no project is shown where it lies. */
function CoverButton({ row: { id } }: { row: Pick<OverlayRow, 'id'> }) {
  const open = async (event: MouseEvent) => {
    event.stopPropagation();
    if (!view.peek().overlay.isRegister) {
      show({ page: 'map', cover: id });
      return;
    }
    const { structures } = await server().search(id);
    const found = structures.find((one) => one.id === id);
    if (found) goTo(found, otherProjectOf(found));
  };
  return (
    <button type="button" class="cover-link" onClick={open}>
      {id}
    </button>
  );
}
