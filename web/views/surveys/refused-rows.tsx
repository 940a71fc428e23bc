import { useState } from 'preact/hooks';
import type { ImportReport } from '#shared/import.ts';
import { refusedCsv } from './refused-csv.ts';

const first = 12;

/** Rows that are left out: where, what stood there, which rule says no. */
export function RefusedRows({ report, file }: { report: ImportReport; file: File }) {
  const [isAll, setIsAll] = useState(false);
  const rows = isAll ? report.refused : report.refused.slice(0, first);
  return (
    <div class="refused">
      <h3>
        {report.refusedRows === 1 ? 'One row needs your eye' : `${report.refusedRows} rows need your eye`}
      </h3>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard. */}
      <section class="wide" tabIndex={0} aria-label="Rows left out">
        <table>
          <thead>
            <tr>
              <th scope="col" class="number">
                Row
              </th>
              <th scope="col">Column</th>
              <th scope="col">Value</th>
              <th scope="col">What is wrong</th>
            </tr>
          </thead>
          <tbody>
            {rows.map(({ row, column, value, rule, message }) => (
              <tr key={`${row} ${column} ${rule}`}>
                <td class="number">{row ?? 'file'}</td>
                <td>{column ?? '·'}</td>
                <td>
                  <b>{value === null ? '·' : value === '' ? '(blank)' : value}</b>
                </td>
                <td>{message}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <p class="quiet">
        {report.refused.length > rows.length && (
          <>
            <button type="button" class="link" onClick={() => setIsAll(true)}>
              Show all {report.refused.length}
            </button>{' '}
            ·{' '}
          </>
        )}
        <button type="button" class="link" onClick={() => void download(report, file)}>
          Download these rows
        </button>{' '}
        with the reason in a last column. They are left out; the others can be stored.
      </p>
    </div>
  );
}

async function download(report: ImportReport, file: File): Promise<void> {
  const csv = refusedCsv(await file.text(), report.refused);
  const address = URL.createObjectURL(new Blob([csv], { type: 'text/csv' }));
  const link = Object.assign(document.createElement('a'), {
    href: address,
    download: `${file.name.replace(/\.[^.]*$/, '')}-left-out.csv`,
  });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
