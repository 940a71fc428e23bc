import { useEffect, useRef } from 'preact/hooks';
import type { ImportPreview, StagedImport } from '#shared/staged-import.ts';
import { sendings } from '../../imports/sending.ts';
import { actFault, current, isLost } from '../../imports/staged.ts';
import { count, countWords, figures, formatWords } from '../../imports/words.ts';
import { show } from '../../state.ts';
import { FaultNote } from '../notes.tsx';
import { Codes, Columns } from './columns.tsx';
import { FootBar } from './foot-bar.tsx';
import { LaidOn } from './laid-on.tsx';
import { FileNotes, ProblemRows } from './problem-rows.tsx';
import { ReadingProgress, SendingProgress } from './progress.tsx';
import { Questions } from './questions.tsx';
import { Said } from './said.tsx';
import { UndoNote } from './undo.tsx';

/** One file from its first byte to its undoing. */
export function ImportPage() {
  const { value: staged, fault } = current.value;
  if (!staged) {
    return (
      <div class="surveys">
        <div class="surveys-body">
          <BackLink />
          {fault && <FaultNote fault={fault} />}
        </div>
        <FootBar staged={null} />
      </div>
    );
  }
  const { state, preview } = staged;
  return (
    <div class="surveys">
      <div class="surveys-body">
        <BackLink />
        <Head staged={staged} />
        {isLost.value && (
          <p class="lost">The server does not answer. This goes on by itself as soon as it does.</p>
        )}
        {(actFault.value ?? fault) && <FaultNote fault={(actFault.value ?? fault)!} />}
        <UndoNote />
        {state === 'uploading' && (
          <SendingProgress staged={staged} sending={sendings.value[staged.id] ?? null} />
        )}
        {(state === 'reading' || state === 'storing') && <ReadingProgress staged={staged} />}
        {state === 'failed' && <FaultNote fault={{ message: staged.said, fields: [] }} />}
        {preview && state !== 'failed' && <Preview staged={staged} preview={preview} />}
      </div>
      <FootBar staged={staged} />
    </div>
  );
}

function BackLink() {
  return (
    <button type="button" class="link back" onClick={() => show({ import: null })}>
      All imports
    </button>
  );
}

function Head({ staged }: { staged: StagedImport }) {
  const { files, preview, state } = staged;
  const title = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    if (document.activeElement === document.body) title.current?.focus({ preventScroll: true });
  }, [staged.id]);
  const isDone = state === 'stored';
  return (
    <div class="import-head">
      <div>
        <h1 ref={title} tabIndex={-1}>
          {files.map(({ name }) => name).join(', ')}
        </h1>
        <p>{preview ? <Understood preview={preview} /> : (onTheWay[state] ?? staged.said)}</p>
      </div>
      {preview && state !== 'failed' && (
        <dl class="figures-row">
          {figures(preview.counts, isDone).map(([number, word]) => (
            <div key={word}>
              <dd>{count(number)}</dd>
              <dt>{word}</dt>
            </div>
          ))}
        </dl>
      )}
    </div>
  );
}

/** The server's own last words are those before this state where nothing else has happened yet. */
const onTheWay: Partial<Record<StagedImport['state'], string>> = {
  uploading: 'On its way to the server.',
  reading: 'With the server, and being read.',
};

/** One sentence of what was understood. */
function Understood({ preview }: { preview: ImportPreview }) {
  const { format, kind, counts, readings } = preview;
  const now = readings.find(({ question }) => question === null);
  const others = preview.parts.slice(1).map((part) => countWords(part.kind, part.count));
  return (
    <>
      {formatWords(format)} of <b>{countWords(kind, counts.read)}</b>
      {now?.inside === true && ', all inside the project'}
      {now?.inside === false && (
        <>
          , <b>outside the project</b>
        </>
      )}
      .{others.length > 0 && ` It also holds ${others.slice(0, 4).join(', ')}.`}
    </>
  );
}

function Preview({ staged, preview }: { staged: StagedImport; preview: ImportPreview }) {
  return (
    <>
      <FileNotes preview={preview} />
      <Questions staged={staged} preview={preview} />
      <Said staged={staged} preview={preview} />
      <LaidOn staged={staged} preview={preview} />
      <div class="preview-columns">
        <div>
          <Columns staged={staged} preview={preview} />
          <Codes staged={staged} preview={preview} />
        </div>
        <ProblemRows staged={staged} preview={preview} />
      </div>
    </>
  );
}
