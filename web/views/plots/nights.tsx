import type { NightProgress } from '#shared/plots.ts';
import { type Status, statuses } from '#shared/status.ts';
import { nightText } from '../../night-words.ts';
import { doneOf, nightsFinding } from '../../plots/words.ts';
import { noFilter, show } from '../../state.ts';
import { StatusSymbol } from '../../symbols/status-symbol.tsx';

/** Covers night by night, each strip as long as the night has covers; a part leads to them. */
export function Nights({ nights }: { nights: NightProgress[] }) {
  const most = Math.max(1, ...nights.map(({ covers }) => covers));
  const today = new Date().toISOString().slice(0, 10);
  return (
    <section class="plot-part" aria-label="Progress by night">
      <h2>Progress by night</h2>
      <p class="plot-finding">{nightsFinding(nights, today)}</p>
      <ul class="night-rows">
        {nights.map((one) => (
          <NightRow key={one.night} row={one} most={most} />
        ))}
      </ul>
      {nights.length > 0 && (
        <p class="quiet">
          Done is set or accepted. A part leads to its covers on map and table. Crews have their night at{' '}
          <a href="/crew">the crew page</a>.
        </p>
      )}
    </section>
  );
}

/** A blank night asks for the covers of none. */
const lookAt = (night: string | null, filter: string[]) =>
  show({ page: 'map', ...noFilter, only: { night: night ?? '' }, filter, cover: null });

function NightRow({ row, most }: { row: NightProgress; most: number }) {
  const { night, covers, byStatus } = row;
  const parts = statuses.filter(({ code }) => (byStatus[code] ?? 0) > 0);
  const unplanned = byStatus.unplanned ?? 0;
  return (
    <li>
      <button type="button" class="link" onClick={() => lookAt(night, [])}>
        {nightText(night)}
      </button>
      <div class="strip" style={{ width: `${(covers / most) * 100}%` }}>
        {parts.map((status) => (
          <Part key={status.code} status={status} count={byStatus[status.code]!} night={night} />
        ))}
        {unplanned > 0 && (
          <button
            type="button"
            class="part"
            style={{ flexGrow: unplanned }}
            title={`${unplanned} not planned yet`}
            onClick={() => lookAt(night, ['unplanned'])}
          >
            <span class="hidden">{unplanned} not planned yet</span>
          </button>
        )}
      </div>
      <span class="street-notes">
        <b>
          {doneOf(row).toLocaleString('en')} of {covers.toLocaleString('en')}
        </b>{' '}
        <span class="quiet">done</span>
      </span>
    </li>
  );
}

function Part({ status, count, night }: { status: Status; count: number; night: string | null }) {
  const { code, word, fill } = status;
  return (
    <button
      type="button"
      class="part"
      style={{ flexGrow: count, background: fill }}
      title={`${count.toLocaleString('en')} ${word}`}
      onClick={() => lookAt(night, [code])}
    >
      <span class="pip">
        <StatusSymbol status={code} size={14} />
      </span>
      <span class="hidden">
        {count} {word}, {nightText(night)}
      </span>
    </button>
  );
}
