import { statusGroups } from '#shared/status.ts';
import { counts, type StatusCount, toggleFilter, unplanned } from '../selection.ts';
import { show, view } from '../state.ts';
import { StatusSymbol } from '../symbols/status-symbol.tsx';

const pick = (code: string) => (event: MouseEvent) =>
  show({ filter: toggleFilter(view.peek().filter, code, event.shiftKey) });

/** What is left: one strip with widths true to counts, and under it the keys by group. Both filter. */
export function CountBar() {
  const all = counts.value;
  const { filter } = view.value;
  return (
    <section class="count-bar" aria-label="Covers by status">
      <Strip parts={all.filter(({ count }) => count > 0)} filter={filter} />
      <div class="keys">
        {statusGroups.map((group) => (
          <KeyGroup
            key={group}
            group={group}
            parts={all.filter(({ status }) => status.group === group)}
            filter={filter}
          />
        ))}
      </div>
      {unplanned.value > 0 && <p class="bar-note quiet">{unplanned.value} not planned yet.</p>}
    </section>
  );
}

function Strip({ parts, filter }: { parts: StatusCount[]; filter: string[] }) {
  return (
    <div class="strip" aria-hidden="true">
      {parts.map(({ status, count }) => (
        <button
          key={status.code}
          type="button"
          tabIndex={-1}
          class={`part fade${filter.length > 0 && !filter.includes(status.code) ? ' off' : ''}`}
          style={{ flexGrow: count, background: status.fill }}
          title={`${count} ${status.word}`}
          onClick={pick(status.code)}
        >
          <span class="pip">
            <StatusSymbol status={status.code} size={14} />
          </span>
        </button>
      ))}
    </div>
  );
}

interface GroupProps {
  group: string;
  parts: StatusCount[];
  filter: string[];
}

function KeyGroup({ group, parts, filter }: GroupProps) {
  const isEmpty = parts.every(({ count }) => count === 0);
  return (
    <fieldset class={`key-group${isEmpty ? ' unused' : ''}`} style={{ flexGrow: parts.length }}>
      <legend class="label quiet">{group}</legend>
      <div class="key-row">
        {parts.map(({ status, count }) => (
          <button
            key={status.code}
            type="button"
            class={`key${count === 0 ? ' none' : ''}`}
            aria-pressed={filter.includes(status.code)}
            title={status.description}
            onClick={pick(status.code)}
          >
            <StatusSymbol status={status.code} />
            <b>{count}</b>
            <span>{status.word}</span>
          </button>
        ))}
      </div>
    </fieldset>
  );
}
