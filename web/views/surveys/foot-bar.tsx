import { isPlanWanted, project, show } from '../../state.ts';
import { PlanAgain } from '../plan-again.tsx';
import { discard, hasFiles, isBusy, kinds, staged, storeAll, toStore, worthStoring } from './staging.ts';

const noun = { structures: ['casting', 'castings'], shots: ['shot', 'shots'] } as const;
const countWords = (kind: 'structures' | 'shots', count: number) =>
  `${count.toLocaleString('en-US')} ${noun[kind][count === 1 ? 0 : 1]}`;

/** Says at all times whether anything is stored, and what is missing. */
export function FootBar() {
  const ready = toStore.value;
  const stored = kinds.filter((kind) => staged[kind].value.report?.mode === 'store');
  const isDone = stored.length > 0 && ready.length === 0 && !isBusy.value;
  return (
    <div class="foot-bar">
      <p role="status">{isDone ? <StoredWords kinds={stored} /> : <NotStoredWords stored={stored} />}</p>
      {isDone ? (
        <div class="foot-actions">
          {isPlanWanted.value && (
            <PlanAgain word={project.value?.planRevision === 0 ? 'Plan' : 'Plan again'} />
          )}
          <button type="button" class="button main" onClick={() => show({ page: 'map' })}>
            To the map
          </button>
        </div>
      ) : (
        <div class="foot-actions">
          <button
            type="button"
            class="button"
            disabled={!hasFiles.value}
            onClick={() => {
              for (const kind of kinds) discard(kind);
            }}
          >
            Discard
          </button>
          <button
            type="button"
            class="button main"
            disabled={ready.length === 0 || isBusy.value}
            onClick={() => void storeAll()}
          >
            {ready.length === 0
              ? 'Store'
              : `Store ${ready.map(({ kind, count }) => countWords(kind, count)).join(' and ')}`}
          </button>
        </div>
      )}
    </div>
  );
}

type Kinds = ('structures' | 'shots')[];

function NotStoredWords({ stored }: { stored: Kinds }) {
  const missing = !hasFiles.value
    ? 'Choose a file to begin.'
    : isBusy.value
      ? 'The file is being read.'
      : toStore.value.length === 0
        ? 'There is nothing new to store in it.'
        : 'Check the counts, then store.';
  return (
    <>
      <b>
        {stored.length === 0
          ? 'Nothing is stored yet.'
          : `${storedWords(stored)} The rest is not stored yet.`}
      </b>{' '}
      {missing}
    </>
  );
}

function storedWords(stored: Kinds): string {
  const words = stored.map((kind) => countWords(kind, worthStoring(staged[kind].value.report)));
  return `Stored: ${words.join(' and ')}.`;
}

function StoredWords({ kinds: stored }: { kinds: Kinds }) {
  return (
    <>
      <b>{storedWords(stored)}</b>{' '}
      {isPlanWanted.value &&
        project.value!.planRevision > 0 &&
        'The plan rests on older data until you plan again.'}
    </>
  );
}
