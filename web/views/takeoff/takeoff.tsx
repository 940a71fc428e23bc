import { useEffect, useState } from 'preact/hooks';
import { sayTakeoff } from '#core/supply/words.ts';
import type { Project } from '#shared/project.ts';
import { type StatusCode, statusCodes, statusOf } from '#shared/status.ts';
import type { Takeoff } from '#shared/takeoff.ts';
import { FilterChips } from '../../find/filter-chips.tsx';
import { isFiltered } from '../../find/rows.ts';
import { load, server } from '../../load.ts';
import { nothingLoaded, show, tilesChanged, view } from '../../state.ts';
import { StatusSymbol } from '../../symbols/status-symbol.tsx';
import { areaFault, fileAddress, found, polygon, takeoffQuery } from '../../takeoff/asked.ts';
import { NextStep } from '../next-step.tsx';
import { Empty, FaultNote } from '../notes.tsx';
import { PlanAgain } from '../plan-again.tsx';
import { Area } from './area.tsx';
import { Divided } from './divided.tsx';
import { LeftOut } from './left-out.tsx';
import { RingList } from './ring-list.tsx';
import { Supplies } from './supplies.tsx';

/** Rings of the covers that the filter leaves: needed, on hand, to order; and the covers that are not in it. */
export function TakeoffPage({ project }: { project: Project }) {
  const [saved, setSaved] = useState(0);
  const query = takeoffQuery().toString();
  const revision = `${project.inputRevision}/${project.planRevision}/${tilesChanged.value}/${saved}`;
  useEffect(() => {
    const controller = new AbortController();
    if (found.peek().of !== project.id) found.value = { ...nothingLoaded, of: project.id };
    void load(found, () => server().takeoff(project.id, new URLSearchParams(query), controller.signal)).then(
      () => {
        found.value = { ...found.peek(), of: project.id };
      },
    );
    return () => controller.abort();
  }, [project.id, query, revision]);
  const { fault, loading } = found.value;
  // Figures of other covers than those that the area stands for would be taken for theirs.
  const value = areaFault.value === null ? found.value.value : null;
  if (project.coverCount === 0) {
    return (
      <Empty
        sentence="No covers yet. Add a register to see which rings they take."
        action={{ word: 'Add files', run: () => show({ page: 'surveys' }) }}
      />
    );
  }
  return (
    <div class="surveys takeoff">
      <div class="surveys-body" aria-busy={loading}>
        <h1>Takeoff</h1>
        <NextStep project={project} />
        <Filter />
        <Area project={project} />
        {fault && <FaultNote fault={fault} />}
        {value && <Finding value={value} project={project} />}
        {value && <RingList value={value} />}
        {value && value.leftOut > 0 && <LeftOut value={value} project={project} />}
        {value?.ringCatalogueId && (
          <Supplies
            key={value.ringCatalogueId}
            project={project}
            value={value}
            onSaved={() => setSaved((count) => count + 1)}
          />
        )}
        {value && <Divided value={value} project={project} />}
      </div>
    </div>
  );
}

/** Statuses and what else every cover has; it is the filter of map and table too. */
function Filter() {
  const { filter, search } = view.value;
  return (
    <section class="takeoff-filter" aria-label="Filter">
      <span class="quiet">
        {isFiltered.value ? 'Only covers of' : polygon.value ? 'Covers of the area' : 'All covers'}
      </span>
      {filter.map((code) => (
        <button
          key={code}
          type="button"
          class="chip"
          onClick={() => show({ filter: filter.filter((one) => one !== code) })}
        >
          <span class="hidden">Take away the filter </span>
          {isStatus(code) && <StatusSymbol status={code} size={14} />}
          <b>{isStatus(code) ? statusOf(code).word : 'Not planned'}</b> <span aria-hidden="true">×</span>
        </button>
      ))}
      {search !== '' && (
        <button type="button" class="chip" onClick={() => show({ search: '' })}>
          <span class="hidden">Take away the filter </span>
          Text: <b>{search}</b> <span aria-hidden="true">×</span>
        </button>
      )}
      <FilterChips />
      <AddStatus filter={filter} />
    </section>
  );
}

function AddStatus({ filter }: { filter: string[] }) {
  const codes = [...statusCodes, 'unplanned'].filter((code) => !filter.includes(code));
  return (
    <label>
      <span class="hidden">Add a status to the filter</span>
      <select
        value=""
        onChange={({ currentTarget }) => {
          const code = currentTarget.value;
          currentTarget.value = '';
          if (code !== '') show({ filter: [...filter, code] });
        }}
      >
        <option value="">Status…</option>
        {codes.map((code) => (
          <option key={code} value={code}>
            {isStatus(code) ? statusOf(code).word : 'Not planned'}
          </option>
        ))}
      </select>
    </label>
  );
}

const isStatus = (code: string): code is StatusCode => (statusCodes as readonly string[]).includes(code);

function Finding({ value, project }: { value: Takeoff; project: Project }) {
  const { totals, covers, leftOut, planStale, planRevision, unknownRings } = value;
  const unknown = unknownRings.filter(({ needed }) => needed > 0);
  return (
    <section class="takeoff-finding" aria-label="Finding">
      <p class="headline" role="status">
        {sayTakeoff({ ...totals, covers, leftOut })}
      </p>
      {planStale && (
        <p class="plan-first">
          <span class="wrong">Something changed since plan {planRevision}: plan again before you order.</span>
          <PlanAgain word="Plan again" isWanted />
        </p>
      )}
      {unknown.length > 0 && (
        <p class="wrong">
          The catalogue does not have {unknown.map(({ ring, needed }) => `${ring} (${needed})`).join(', ')}:
          order them apart.
        </p>
      )}
      <p>{partsWords(value)}</p>
      <p class="paper-links">
        <a href={fileAddress(project, 'takeoff.pdf')} target="_blank" rel="noopener">
          Order list (PDF)
        </a>{' '}
        <a href={fileAddress(project, 'takeoff.csv')} download>
          Save as a CSV file
        </a>
      </p>
    </section>
  );
}

/** `Of 60 covers 41 are to be built, 9 take no rings, 4 stand already and 6 are not in it.` */
function partsWords({ covers, toBuild, ringless, built, leftOut, planRevision }: Takeoff): string {
  const all = covers === 1 ? '1 cover' : `${covers.toLocaleString('en')} covers`;
  const be = (count: number) => (count === 1 ? 'is' : 'are');
  const parts = [
    `${toBuild.toLocaleString('en')} ${be(toBuild)} to be built`,
    ringless > 0 && `${ringless.toLocaleString('en')} ${ringless === 1 ? 'takes' : 'take'} no rings`,
    built > 0 && `${built.toLocaleString('en')} ${built === 1 ? 'stands' : 'stand'} already`,
    leftOut > 0 && `${leftOut.toLocaleString('en')} ${be(leftOut)} not in it`,
  ].filter((part) => part !== false);
  const last = parts.pop()!;
  const from =
    planRevision === 0
      ? 'There is no plan yet.'
      : `From plan ${planRevision}, and what crews chose at the hole.`;
  return `Of ${all} ${parts.length > 0 ? `${parts.join(', ')} and ` : ''}${last}. ${from}`;
}
