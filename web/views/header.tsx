import { useEffect, useRef } from 'preact/hooks';
import type { Job } from '#shared/job.ts';
import {
  announcement,
  isPlanWanted,
  job,
  keysShown,
  noFilter,
  project,
  projects,
  show,
  view,
} from '../state.ts';
import type { Page } from '../url.ts';
import { PlanAgain } from './plan-again.tsx';

const pages: { page: Page; word: string }[] = [
  { page: 'map', word: 'Map' },
  { page: 'surveys', word: 'Surveys' },
  { page: 'grade', word: 'Grade' },
  { page: 'rings', word: 'Rings' },
  { page: 'overlay', word: 'Next overlay' },
  { page: 'plots', word: 'Plots' },
  { page: 'takeoff', word: 'Takeoff' },
];

const hasEnded = (last: Job | null) => last !== null && last.state !== 'queued' && last.state !== 'running';

export function Header() {
  const list = projects.value.value ?? [];
  const now = project.value;
  const nav = useRef<HTMLElement>(null);
  const { page: shown } = view.value;
  // On a narrow screen the pages are wider than it.
  useEffect(() => {
    const tab = nav.current?.querySelector('[aria-current]');
    tab?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  }, [shown]);
  return (
    <header class="top">
      <span class="brand">
        <svg width="28" height="20" viewBox="0 0 28 20" aria-hidden="true">
          <path d="M5 9h18v4h-4l1 5H8l1-5H5z" fill="var(--ink)" />
          <path d="M1 7.5 27 3" stroke="var(--grade)" stroke-width="2.6" stroke-linecap="round" />
        </svg>
        Rimplane
      </span>
      <nav aria-label="Pages" ref={nav}>
        {pages.map(({ page, word }) => (
          <button
            key={page}
            type="button"
            class="tab"
            aria-current={view.value.page === page ? 'page' : undefined}
            onClick={() => show({ page })}
          >
            {word}
          </button>
        ))}
      </nav>
      <div class="top-right">
        {hasEnded(job.value) && <span class="quiet outcome">{announcement.value}</span>}
        {now && now.coverCount > 0 && view.value.page === 'map' && (
          <PlanAgain word={now.planRevision === 0 ? 'Plan' : 'Plan again'} isWanted={isPlanWanted.value} />
        )}
        {list.length > 1 ? (
          <label>
            <span class="hidden">Project</span>
            <select
              class="project"
              value={now?.id}
              onChange={(event) =>
                show({
                  project: event.currentTarget.value,
                  cover: null,
                  ...noFilter,
                  at: null,
                  street: null,
                })
              }
            >
              {list.map(({ id, name }) => (
                <option key={id} value={id}>
                  {name}
                </option>
              ))}
            </select>
          </label>
        ) : (
          <b class="project">{now?.name}</b>
        )}
        <button
          type="button"
          class="link new-project"
          aria-current={view.value.page === 'new' ? 'page' : undefined}
          onClick={() => show({ page: 'new', cover: null, import: null })}
        >
          New project
        </button>
        {now && (
          <span class="quiet cover-count">
            {now.coverCount === 1 ? '1 cover' : `${now.coverCount.toLocaleString('en')} covers`}
          </span>
        )}
        <button
          type="button"
          class="keys-button"
          title="Keys, key ?"
          onClick={() => (keysShown.value = true)}
        >
          <span aria-hidden="true">?</span>
          <span class="hidden">List the keys</span>
        </button>
      </div>
    </header>
  );
}
