import { useRef } from 'preact/hooks';
import type { StagedImport } from '#shared/staged-import.ts';
import { sizeWords } from '../../imports/parts.ts';
import { goOnWith, type Sending } from '../../imports/sending.ts';
import { project } from '../../state.ts';
import { FaultNote } from '../notes.tsx';

/** How much of a file has gone; a broken connection and a reloaded page go on where they were. */
export function SendingProgress({ staged, sending }: { staged: StagedImport; sending: Sending | null }) {
  if (!sending) return <p class="quiet">Another page is sending this file.</p>;
  const { sent, total, state, fault } = sending;
  return (
    <div class="sending">
      <p>
        <progress max={total || 1} value={sent} aria-label="Part of the file sent" />{' '}
        <span>
          {sizeWords(sent)} of {sizeWords(total)}
        </span>
      </p>
      <p class="quiet">{words[state]}</p>
      {state === 'needsFile' && <ChooseAgain staged={staged} />}
      {fault && <FaultNote fault={fault} />}
    </div>
  );
}

const words: Record<Sending['state'], string> = {
  waiting: 'Waiting for the file before it.',
  sending: 'Sending. You may close or reload this page: it goes on where it was.',
  lost: 'The connection is lost. What has arrived is kept, and the rest goes as soon as the server answers.',
  needsFile:
    'The upload broke off, and this browser no longer has the file. Choose it again: only the rest is sent.',
  failed: 'The server did not take the file.',
};

function ChooseAgain({ staged }: { staged: StagedImport }) {
  const input = useRef<HTMLInputElement>(null);
  return (
    <p class="file-choice">
      <input
        ref={input}
        type="file"
        multiple
        id="file-again"
        class="hidden"
        onChange={({ currentTarget }) =>
          goOnWith(project.value!.id, staged, [...(currentTarget.files ?? [])])
        }
      />
      <label class="button" for="file-again">
        Choose the file again
      </label>
    </p>
  );
}

export function ReadingProgress({ staged }: { staged: StagedImport }) {
  const { done, total } = staged.progress;
  const isStoring = staged.state === 'storing';
  return (
    <p class="sending" role="status">
      <progress
        max={total || 1}
        value={total > 0 ? done : undefined}
        aria-label={isStoring ? 'Part stored' : 'Part of the file read'}
      />{' '}
      <span>
        {total === 0
          ? 'Waiting for its turn'
          : `${isStoring ? 'Storing' : 'Reading the file'} · ${Math.floor((100 * done) / total)} %`}
      </span>
    </p>
  );
}
