import type { ImportBatch } from '#shared/import.ts';
import { batches } from '../../imports/staged.ts';
import { count, kindWords } from '../../imports/words.ts';
import { show } from '../../state.ts';
import { FaultNote } from '../notes.tsx';
import { UndoButton } from './undo.tsx';

export const moment = new Intl.DateTimeFormat('en-GB', { dateStyle: 'medium', timeStyle: 'short' });

/** What came in before, newest first; what it did can be taken back. */
export function StoredBefore() {
  const { value, fault } = batches.value;
  return (
    <section class="stored-before" aria-label="Earlier imports">
      <h2>Earlier imports</h2>
      {fault && <FaultNote fault={fault} />}
      {value?.length === 0 && <p class="quiet">None yet.</p>}
      {value && value.length > 0 && <Table batches={value} />}
    </section>
  );
}

function Table({ batches: rows }: { batches: ImportBatch[] }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard.
    <section class="wide" tabIndex={0} aria-label="Files stored before">
      <table>
        <thead>
          <tr>
            <th scope="col">File</th>
            <th scope="col">When</th>
            <th scope="col">As</th>
            {['Added', 'Changed', 'Same', 'Left out'].map((word) => (
              <th key={word} scope="col" class="number">
                {word}
              </th>
            ))}
            <th scope="col">
              <span class="hidden">Undo</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((batch) => (
            <Row key={batch.id} batch={batch} />
          ))}
        </tbody>
      </table>
    </section>
  );
}

function Row({ batch }: { batch: ImportBatch }) {
  const { id, fileName, at, kind, state } = batch;
  const isUndone = state === 'undone';
  return (
    <tr class={isUndone ? 'undone' : undefined}>
      <td>
        <button type="button" class="link" onClick={() => show({ import: id })}>
          {fileName}
        </button>
      </td>
      <td>{moment.format(new Date(at))}</td>
      <td>{kindWords(kind)}</td>
      {[batch.new, batch.changed, batch.same, batch.refusedRows].map((number, index) => (
        <td key={index} class="number">
          {count(number)}
        </td>
      ))}
      <td class="act">{isUndone ? 'undone' : <UndoButton id={id} what={fileName} isLink />}</td>
    </tr>
  );
}
