import { useRef, useState } from 'preact/hooks';
import type { ImportReport } from '#shared/import.ts';
import { FaultNote } from '../notes.tsx';
import { RefusedRows } from './refused-rows.tsx';
import { choose, discard, type Kind, readAgain, type Staged, stage, staged, survey } from './staging.ts';

interface Props {
  kind: Kind;
  number: number;
  title: string;
  hint: string;
}

export function FilePanel({ kind, number, title, hint }: Props) {
  const state = staged[kind].value;
  return (
    <section class="file-panel" aria-label={title}>
      <h2>
        <span class="step-number" aria-hidden="true">
          {number}
        </span>
        {title}
      </h2>
      <p class="quiet">{hint}</p>
      {kind === 'shots' && <ShotChoices />}
      <Chooser kind={kind} title={title} state={state} />
      {state.sent !== null && <Sending sent={state.sent} />}
      {state.fault && <FaultNote fault={state.fault} />}
      {state.report && state.file && <Report kind={kind} report={state.report} file={state.file} />}
    </section>
  );
}

function ShotChoices() {
  return (
    <div class="stage">
      <label>
        Surface that was shot{' '}
        <select
          value={stage.value}
          onChange={(event) => {
            stage.value = event.currentTarget.value as typeof stage.value;
            void readAgain('shots');
          }}
        >
          <option value="finished">finished surface</option>
          <option value="lift">a lift</option>
          <option value="milled">milled surface</option>
          <option value="existing">existing pavement</option>
        </select>
      </label>
      <label>
        Survey{' '}
        <input
          type="text"
          maxLength={100}
          placeholder="named like the file"
          value={survey.value}
          onChange={(event) => {
            survey.value = event.currentTarget.value;
            void readAgain('shots');
          }}
        />
      </label>
    </div>
  );
}

function Chooser({ kind, title, state }: { kind: Kind; title: string; state: Staged }) {
  const input = useRef<HTMLInputElement>(null);
  const [isOver, setIsOver] = useState(false);
  const take = (files: FileList | null | undefined) => {
    if (files?.[0]) void choose(kind, files[0]);
    if (input.current) input.current.value = '';
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is an extra; the button inside does the same.
    <div
      class={`chooser${isOver ? ' over' : ''}`}
      onDragOver={(event) => {
        event.preventDefault();
        setIsOver(true);
      }}
      onDragLeave={() => setIsOver(false)}
      onDrop={(event) => {
        event.preventDefault();
        setIsOver(false);
        take(event.dataTransfer?.files);
      }}
    >
      <input
        ref={input}
        type="file"
        accept=".csv,.txt,.pts,text/csv,text/plain"
        id={`file-${kind}`}
        class="hidden"
        aria-label={`File: ${title}`}
        onChange={(event) => take(event.currentTarget.files)}
      />
      <label class="button" for={`file-${kind}`}>
        {state.file ? 'Choose another file' : 'Choose a file'}
      </label>
      <span>{state.file ? <b>{state.file.name}</b> : <span class="quiet">or drop it here</span>}</span>
      {state.file && (
        <button type="button" class="link" onClick={() => discard(kind)}>
          Discard
        </button>
      )}
    </div>
  );
}

function Sending({ sent }: { sent: number }) {
  return (
    <p class="sending">
      <progress max={1} value={sent} aria-label="Part of the file sent" />
      <span>{sent < 1 ? `${Math.round(sent * 100)} % sent` : 'Reading the rows'}</span>
    </p>
  );
}

const nouns = { structures: 'castings', shots: 'shots' };

function Report({ kind, report, file }: { kind: Kind; report: ImportReport; file: File }) {
  const isStored = report.mode === 'store';
  const figures: [number, string][] = [
    [report.new, isStored ? 'added' : 'new'],
    [report.same, 'same as before'],
    [report.changed, isStored ? 'changed' : 'would change'],
    [report.refusedRows, isStored ? 'left out' : 'have a problem'],
  ];
  return (
    <div class="report" aria-live="polite">
      <p class="understood">
        A file of <b>{report.read.toLocaleString('en-US')} rows</b>, read as {nouns[kind]}
        {report.surfaceId && kind === 'shots' ? (
          <>
            {' '}
            of the survey <b>{report.surfaceId}</b>
          </>
        ) : null}
        . {isStored && <b class="stored">Stored.</b>}
      </p>
      <dl class="figures-row">
        {figures.map(([count, word]) => (
          <div key={word}>
            <dd>{count.toLocaleString('en-US')}</dd>
            <dt>{word}</dt>
          </div>
        ))}
      </dl>
      {report.unknownCodes.length > 0 && (
        <p>
          Codes that are blank or not in the list, read as pavement:{' '}
          {report.unknownCodes
            .map(({ code, count }) => `${code || 'blank'} ${count.toLocaleString('en-US')}`)
            .join(', ')}
          .
        </p>
      )}
      {report.warnings.map((warning) => (
        <p key={warning} class="warning">
          {warning}
        </p>
      ))}
      {report.refused.length > 0 && <RefusedRows report={report} file={file} />}
    </div>
  );
}
