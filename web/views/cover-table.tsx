import { useEffect, useRef } from 'preact/hooks';
import { formatSmall } from '#core/units/format.ts';
import type { CoverRow } from '#shared/cover.ts';
import { statusOf } from '#shared/status.ts';
import { MiniBand } from '../drawings/mini-band.tsx';
import { signedWorstOfRow } from '../figures.ts';
import { choosingBy, pick, pickedIds } from '../find/picked.ts';
import { loadBefore, rows as loaded, loadMore, matching, readSort, type TableSort } from '../find/rows.ts';
import { openCover, statusShown, stepCover } from '../selection.ts';
import { catalogue, noFilter, project, show, view } from '../state.ts';
import { StatusSymbol } from '../symbols/status-symbol.tsx';
import { nominal, type Units, unitsOf } from '../units.ts';
import { actionShort, offsetShort, stackCell, stationText, worstWords } from '../words.ts';
import { FaultNote } from './notes.tsx';
import { bringRowIntoView, Filler, useHeldPlace, useRowsInSight } from './rows-in-sight.tsx';

/** Rows of one height, so that only those in sight need to be drawn. */
const rowHeight = 36;

interface Column {
  key: string;
  heading: (units: Units, tolerance: number) => string;
  sort?: TableSort;
  cell: (row: CoverRow, units: Units, tolerance: number) => preact.ComponentChildren;
}

const columns: Column[] = [
  { key: 'cover', heading: () => 'Cover', sort: 'id', cell: (row) => <CoverLink row={row} /> },
  { key: 'street', heading: () => 'Street', cell: (row) => row.street ?? '·' },
  {
    key: 'station',
    heading: () => 'Station',
    sort: 'street',
    cell: (row, units) => stationText(row.stationM, units),
  },
  {
    key: 'offset',
    heading: ({ elevation }) => `Offset, ${elevation === 'm' ? 'm' : 'ft'}`,
    cell: (row, units) => offsetShort(row.offsetM, units),
  },
  { key: 'status', heading: () => 'Status', sort: 'status', cell: (row) => <StatusCell row={row} /> },
  { key: 'action', heading: ({ smallUnit }) => `Action, ${smallUnit}`, cell: actionShort },
  {
    key: 'stack',
    heading: () => 'Stack, bottom-up',
    cell: (row) => <StackCell row={row} />,
  },
  {
    key: 'worst',
    heading: (units, tolerance) => `Worst rim ± 2σ in ${nominal(tolerance, units)}`,
    sort: 'worst',
    cell: (row, units, tolerance) => <WorstCell row={row} units={units} tolerance={tolerance} />,
  },
  {
    key: 'remaining',
    heading: ({ smallUnit }) => `Raise left, ${smallUnit}`,
    sort: 'remaining',
    cell: (row, { small }) =>
      row.remainingM === null ? '·' : formatSmall(row.remainingM, small).replace(/ .*$/, ''),
  },
  {
    key: 'crew',
    heading: () => 'Crew, night',
    cell: (row) => [row.crew, row.night].filter(Boolean).join(', ') || '·',
  },
  { key: 'owner', heading: () => 'Owner', cell: (row) => row.owner ?? '·' },
];

/** The same covers as the map, in station order unless sorted otherwise; arrows walk along the street. */
export function CoverTable() {
  const now = project.value;
  const { items: rows, next, previous, laidBefore, isLoading, fault } = loaded.value;
  const query = JSON.stringify([
    view.value.filter,
    view.value.search,
    view.value.only,
    view.value.ranges,
    view.value.sort,
    view.value.from,
    now?.id,
  ]);
  const scroller = useRef<HTMLDivElement>(null);
  const sight = useRowsInSight(scroller, rowHeight);
  const open = view.value.cover;
  useEffect(() => {
    if (scroller.current) scroller.current.scrollTop = 0;
  }, [query]);
  useHeldPlace(scroller, laidBefore * rowHeight);
  // The pages round them are asked for well before their rows come into sight.
  useEffect(() => {
    if (sight.to > rows.length - 150) loadMore();
    if (sight.from < 100) loadBefore();
  }, [sight.from, sight.to, rows.length, next, previous]);
  const openAt = open === null ? -1 : rows.findIndex(({ id }) => id === open);
  // Rows may come after the card was opened: by its address, or on a page that was still to be read.
  useEffect(
    () => bringRowIntoView(scroller.current, { index: openAt, rowHeight }),
    [open, query, openAt >= 0],
  );
  if (!now) return null;
  const units = unitsOf(now);
  const tolerance = now.limits.toleranceM.value;
  const inSight = rows.slice(sight.from, sight.to);
  const isBeginning = previous === null;
  const isWhole = isBeginning && next === null;
  return (
    <div class="table-panel">
      {fault && <FaultNote fault={fault} />}
      <section
        class="table-scroll"
        ref={scroller}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region has to be reachable by keyboard.
        tabIndex={0}
        aria-label="Table of covers"
        onKeyDown={walk}
      >
        <table aria-rowcount={!isWhole && matching.value === null ? -1 : (matching.value ?? rows.length) + 1}>
          <Head units={units} tolerance={tolerance} />
          <tbody>
            <Filler
              rows={Math.min(sight.from, rows.length)}
              rowHeight={rowHeight}
              columns={columns.length + 1}
            />
            {inSight.map((row, index) => (
              <tr
                key={row.id}
                aria-rowindex={isBeginning ? sight.from + index + 2 : undefined}
                class={row.id === open ? 'open' : undefined}
                onClick={() => openCover(row.id)}
              >
                {choosingBy.value === 'rows' && <PickCell id={row.id} />}
                {columns.map((column) => (
                  <td key={column.key} class={`col-${column.key}`}>
                    {column.cell(row, units, tolerance)}
                  </td>
                ))}
              </tr>
            ))}
            <Filler rows={rows.length - sight.to} rowHeight={rowHeight} columns={columns.length + 1} />
          </tbody>
        </table>
        {rows.length === 0 && !isLoading && !fault && <NoRows />}
      </section>
    </div>
  );
}

function walk(event: KeyboardEvent) {
  if (event.key !== 'ArrowDown' && event.key !== 'ArrowUp') return;
  event.preventDefault();
  stepCover(event.key === 'ArrowDown' ? 1 : -1);
}

function Head({ units, tolerance }: { units: Units; tolerance: number }) {
  const { by: sort, isDown } = readSort(view.value.sort);
  const state = (key: TableSort) => (sort !== key ? undefined : isDown ? 'descending' : 'ascending');
  const order = (key: TableSort) => () => {
    // What is worst is looked for first; everything else starts from its least.
    const first = key === 'worst' ? `-${key}` : key;
    const next = sort === key ? (isDown ? key : `-${key}`) : first;
    show({ sort: next === 'street' ? null : next }, 'replace');
  };
  return (
    <thead>
      <tr>
        {choosingBy.value === 'rows' && <PickAll />}
        {columns.map(({ key, heading, sort: by }) => (
          <th key={key} scope="col" class={`col-${key}`} aria-sort={by && state(by)}>
            {by ? (
              <button type="button" onClick={order(by)}>
                {heading(units, tolerance)}
                {state(by) && <span aria-hidden="true">{state(by) === 'ascending' ? ' ↑' : ' ↓'}</span>}
              </button>
            ) : (
              heading(units, tolerance)
            )}
          </th>
        ))}
      </tr>
    </thead>
  );
}

function PickCell({ id }: { id: string }) {
  return (
    // biome-ignore lint/a11y/useKeyWithClickEvents: the box inside takes the keys; a click beside it must not open the card.
    <td class="col-pick" onClick={(event) => event.stopPropagation()}>
      <input
        type="checkbox"
        aria-label={`Select ${id}`}
        checked={pickedIds.value.has(id)}
        onChange={(event) => pick([id], event.currentTarget.checked)}
      />
    </td>
  );
}

/** Ticks the rows that are here, up to as many as can be assigned at once. */
function PickAll() {
  const ids = loaded.value.items.map(({ id }) => id);
  return (
    <th scope="col" class="col-pick">
      <input
        type="checkbox"
        aria-label={`Select all ${ids.length} rows read so far`}
        checked={ids.length > 0 && ids.every((id) => pickedIds.value.has(id))}
        onChange={(event) => pick(ids, event.currentTarget.checked)}
      />
    </th>
  );
}

function CoverLink({ row }: { row: CoverRow }) {
  return (
    <button
      type="button"
      class="cover-link"
      aria-current={view.value.cover === row.id ? 'true' : undefined}
      onClick={() => openCover(row.id)}
    >
      {row.id}
    </button>
  );
}

function StackCell({ row }: { row: CoverRow }) {
  const { text, isRings } = stackCell(row, catalogue.value);
  return isRings ? text : <span class="quiet">{text}</span>;
}

function StatusCell({ row }: { row: CoverRow }) {
  const status = statusShown(row);
  if (status === null) return <span class="quiet">Not planned yet</span>;
  return (
    <span class="status">
      <StatusSymbol status={status} />
      {statusOf(status).word}
    </span>
  );
}

function WorstCell({ row, units, tolerance }: { row: CoverRow; units: Units; tolerance: number }) {
  const worst = signedWorstOfRow(row, catalogue.value);
  if (worst === null) {
    if (row.sigmaRimM === null) return <span class="quiet">no plan yet</span>;
    return <MiniBandWords worst={null} twoSigma={2 * row.sigmaRimM} tolerance={tolerance} units={units} />;
  }
  const twoSigma = 2 * (row.sigmaRimM ?? 0);
  return <MiniBandWords worst={worst} twoSigma={twoSigma} tolerance={tolerance} units={units} />;
}

interface BandProps {
  worst: number | null;
  twoSigma: number;
  tolerance: number;
  units: Units;
}

function MiniBandWords({ worst, twoSigma, tolerance, units }: BandProps) {
  const said =
    worst === null
      ? `not decided, survey ${worstWords(0, twoSigma, units)}`
      : worstWords(worst, twoSigma, units);
  return (
    <span title={said}>
      <MiniBand worst={worst ?? 0} isDecided={worst !== null} twoSigma={twoSigma} tolerance={tolerance} />
      <span class="hidden">{said}</span>
    </span>
  );
}

function NoRows() {
  return (
    <p class="no-rows">
      No cover matches.{' '}
      <button type="button" class="link" onClick={() => show(noFilter)}>
        Show all
      </button>
    </p>
  );
}
