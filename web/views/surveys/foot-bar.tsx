import type { StagedImport } from '#shared/staged-import.ts';
import { sendings } from '../../imports/sending.ts';
import { act } from '../../imports/staged.ts';
import { missingWords, storeButton, storedWords } from '../../imports/words.ts';
import { isPlanWanted, project, show } from '../../state.ts';
import { PlanAgain } from '../plan-again.tsx';
import { UndoButton } from './undo.tsx';

/** Says at all times whether anything is stored, and what is missing. */
export function FootBar({ staged }: { staged: StagedImport | null }) {
  return (
    <div class="foot-bar">
      <p role="status">
        <b>{staged ? storedWords(staged) : 'Nothing is stored yet.'}</b>{' '}
        {staged ? missingWords(staged, sendings.value[staged.id]) : 'Choose a file to begin.'}{' '}
        {staged?.state === 'stored' &&
          isPlanWanted.value &&
          (project.value!.planRevision > 0 ? 'The plan rests on older data until you plan again.' : '')}
      </p>
      {staged && <Actions staged={staged} />}
    </div>
  );
}

function Actions({ staged }: { staged: StagedImport }) {
  const { state } = staged;
  const isEnded = state === 'stored' || state === 'undone' || state === 'discarded';
  const again = isPlanWanted.value && (
    <PlanAgain
      word={project.value?.planRevision === 0 ? 'Plan' : 'Plan again'}
      isWanted={state === 'stored'}
    />
  );
  if (isEnded) {
    return (
      <div class="foot-actions">
        {state === 'stored' && <UndoButton id={staged.id} what={staged.files[0]?.name ?? 'this file'} />}
        {again}
        <button type="button" class="button" onClick={() => show({ import: null })}>
          Add another file
        </button>
        <button type="button" class="button" onClick={() => show({ page: 'map', import: null })}>
          To the map
        </button>
      </div>
    );
  }
  const store = storeButton(staged);
  return (
    <div class="foot-actions">
      {state === 'reading' || state === 'storing' ? (
        <button type="button" class="button" onClick={() => void act('cancel')}>
          Stop
        </button>
      ) : (
        <button type="button" class="button" onClick={() => void act('discard')}>
          Discard file
        </button>
      )}
      {(state === 'uploaded' || state === 'failed') && (
        <button type="button" class="button" onClick={() => void act('read')}>
          Read it again
        </button>
      )}
      <button type="button" class="button main" disabled={!store.isReady} onClick={() => void act('commit')}>
        {store.words}
      </button>
    </div>
  );
}
