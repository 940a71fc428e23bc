import { useState } from 'preact/hooks';
import type { ImportPreview, ShotUse, StagedImport } from '#shared/staged-import.ts';
import { shotUses } from '#shared/staged-import.ts';
import {
  codeFromWords,
  type ImportColumn,
  meaningsOf,
  meaningWords,
  needsUnit,
  sampleValue,
  useWords,
  valueWords,
} from '../../imports/meanings.ts';
import { say } from '../../imports/staged.ts';
import { count, elevationWords, positionWords } from '../../imports/words.ts';

interface Props {
  staged: StagedImport;
  preview: ImportPreview;
}

/** The file's own headings with what each was taken for, over its first rows. */
export function Columns({ staged, preview }: Props) {
  const isShut = !['ready', 'reading'].includes(staged.state);
  const { columns, sample, remembered } = preview;
  return (
    <section class="columns" aria-label="What was read">
      <h2>{columns.length > 0 ? 'What each column was taken for' : 'What the file holds'}</h2>
      {columns.length > 0 ? <ColumnTable {...{ preview, isShut }} /> : <SampleTable sample={sample} />}
      <p class="quiet">
        {positionWords(preview)} {elevationWords(preview)}{' '}
        {remembered && `Columns and codes as last said of ${remembered.fileName}.`}
      </p>
    </section>
  );
}

function ColumnTable({ preview, isShut }: { preview: ImportPreview; isShut: boolean }) {
  const { columns, sample } = preview;
  const asked = new Set(preview.questions.filter(({ isOpen }) => isOpen).map(({ about }) => about));
  const isNumber = (column: ImportColumn) =>
    sample.some((record) => typeof sampleValue(record, column) === 'number');
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard.
    <section class="wide" tabIndex={0} aria-label="Columns and first rows">
      <table>
        <thead>
          <tr>
            {columns.map((column) => (
              <th key={column.name} scope="col" class={isNumber(column) ? 'number' : undefined}>
                <span class="heading">{column.name}</span>
                <MeaningChoice {...{ column, preview, isShut, isAsked: asked.has(column.name) }} />
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {sample.map((record, index) => (
            <tr key={index}>
              {columns.map((column) => (
                <td key={column.name} class={isNumber(column) ? 'number' : undefined}>
                  {valueWords(sampleValue(record, column))}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

interface MeaningProps {
  column: ImportColumn;
  preview: ImportPreview;
  isShut: boolean;
  isAsked: boolean;
}

function MeaningChoice({ column, preview, isShut, isAsked }: MeaningProps) {
  const { name, meaning, unit } = column;
  const known = meaningsOf(preview.kind);
  const options = meaning === null || known.includes(meaning) ? known : [meaning, ...known];
  return (
    <span class={`meaning${isAsked ? ' asked' : ''}`}>
      <select
        aria-label={`${name} was taken for`}
        value={meaning ?? ''}
        disabled={isShut || known.length === 0}
        onChange={({ currentTarget: { value } }) => void say({ meanings: { [name]: value || null } })}
      >
        <option value="">not read</option>
        {options.map((option) => (
          <option key={option} value={option}>
            {meaningWords(option)}
          </option>
        ))}
      </select>
      {needsUnit(column) ? (
        <select
          aria-label={`Unit of ${name}`}
          value={unit ?? ''}
          disabled={isShut}
          onChange={({ currentTarget: { value } }) =>
            void say({ columnUnits: { [name]: (value || null) as 'in' | null } })
          }
        >
          <option value="">unit?</option>
          {['in', 'ft', 'us-ft', 'm', 'cm', 'mm'].map((each) => (
            <option key={each} value={each}>
              {each}
            </option>
          ))}
        </select>
      ) : (
        unit && <span class="unit">{unit === 'degree' ? '°' : unit}</span>
      )}
    </span>
  );
}

/** Surfaces, lines and grids have no columns; each row is one of them. */
function SampleTable({ sample }: { sample: ImportPreview['sample'] }) {
  const headings = Object.keys(sample[0] ?? {}).filter((heading) => heading !== 'values');
  if (headings.length === 0) return null;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard.
    <section class="wide" tabIndex={0} aria-label="First records">
      <table>
        <thead>
          <tr>
            {headings.map((heading) => (
              <th
                key={heading}
                scope="col"
                class={typeof sample[0][heading] === 'number' ? 'number' : undefined}
              >
                {heading.replace(/([A-Z])/g, ' $1').toLowerCase()}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {sample.map((record, index) => (
            <tr key={index}>
              {headings.map((heading) => (
                <td key={heading} class={typeof record[heading] === 'number' ? 'number' : undefined}>
                  {valueWords(record[heading])}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

const firstCodes = 8;

/** Codes of the shots and what each is a shot on; what is said here is remembered for the agency's next file. */
export function Codes({ staged, preview }: Props) {
  const [isAll, setIsAll] = useState(false);
  if (preview.codes.length === 0) return null;
  const isShut = !['ready', 'reading'].includes(staged.state);
  const codes = [...preview.codes].sort(
    (a, b) => Number(b.from === 'unknown') - Number(a.from === 'unknown'),
  );
  const shown = isAll ? codes : codes.slice(0, firstCodes);
  return (
    <section class="codes" aria-label="Codes">
      <h2>What each code is a shot on</h2>
      <ul>
        {shown.map(({ code, count: shots, role, from }) => (
          <li key={code}>
            <label>
              <b>{code || 'no code'}</b> <span class="quiet">{count(shots)}</span>
              <select
                value={role}
                disabled={isShut || code === ''}
                class={from === 'unknown' ? 'new-code' : undefined}
                onChange={({ currentTarget: { value } }) => void say({ codes: { [code]: value as ShotUse } })}
              >
                {shotUses.map((use) => (
                  <option key={use} value={use}>
                    {useWords[use]}
                  </option>
                ))}
              </select>
            </label>
            {codeFromWords[from] && <span class="quiet"> {codeFromWords[from]}</span>}
          </li>
        ))}
      </ul>
      {codes.length > shown.length && (
        <button type="button" class="link" onClick={() => setIsAll(true)}>
          Show all {codes.length} codes
        </button>
      )}
    </section>
  );
}
