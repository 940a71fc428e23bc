import { useState } from 'preact/hooks';
import type { ImportPreview, StagedImport } from '#shared/staged-import.ts';
import { doingWords } from '../../imports/doing.ts';
import { count, numberWord } from '../../imports/words.ts';
import { server } from '../../load.ts';
import { project } from '../../state.ts';

const first = 10;

/** Rows that need an eye: where, what stands there, what is wrong, what is done about it. */
export function ProblemRows({ staged, preview }: { staged: StagedImport; preview: ImportPreview }) {
  const [isAll, setIsAll] = useState(false);
  const { problems, problemCount, counts } = preview;
  const ofRows = problems.filter(({ row }) => row !== null);
  if (ofRows.length === 0) return null;
  const shown = isAll ? ofRows : ofRows.slice(0, first);
  const all = Math.max(problemCount - (problems.length - ofRows.length), ofRows.length);
  return (
    <section class="problem-rows" aria-label="Rows that need your eye">
      <h2>
        {numberWord(all)} {all === 1 ? 'row needs' : 'rows need'} your eye
      </h2>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard. */}
      <section class="wide" tabIndex={0} aria-label="Problem rows">
        <table>
          <thead>
            <tr>
              <th scope="col" class="number">
                Row
              </th>
              <th scope="col">Column</th>
              <th scope="col">Value</th>
              <th scope="col">What is wrong</th>
              <th scope="col">What we will do</th>
            </tr>
          </thead>
          <tbody>
            {shown.map(({ row, column, value, code, message }, index) => (
              <tr key={`${row} ${column} ${code} ${index}`}>
                <td class="number">{row}</td>
                <td>{column ?? '·'}</td>
                <td class="value">
                  <b>{value === null ? '·' : value === '' ? '(blank)' : value}</b>
                </td>
                <td>{message.charAt(0).toUpperCase() + message.slice(1)}</td>
                <td>{doingWords({ code, column })}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <p class="quiet">
        {ofRows.length > shown.length && (
          <>
            <button type="button" class="link" onClick={() => setIsAll(true)}>
              Show {count(ofRows.length)}
            </button>
            {counts.refused > 0 && ' · '}
          </>
        )}
        {counts.refused > 0 && (
          <>
            <a class="link" href={server().refusedAddress(project.value!.id, staged.id)} download>
              Download {counts.refused === 1 ? 'the row' : `all ${count(counts.refused)} rows`} left out
            </a>{' '}
            with the reason in a last column.
          </>
        )}
      </p>
    </section>
  );
}

/** What was found about the file as a whole. */
export function FileNotes({ preview }: { preview: ImportPreview }) {
  const notes = [
    ...preview.warnings,
    ...preview.problems.filter(({ row }) => row === null).map(({ message }) => message),
  ];
  if (notes.length === 0) return null;
  return (
    <ul class="file-notes" aria-label="About the file">
      {[...new Set(notes)].slice(0, 12).map((note) => (
        <li key={note}>{note.charAt(0).toUpperCase() + note.slice(1)}</li>
      ))}
    </ul>
  );
}
