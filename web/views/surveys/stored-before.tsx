import { useEffect } from 'preact/hooks';
import { FaultNote } from '../notes.tsx';
import { batches, loadBatches } from './staging.ts';

const moment = new Intl.DateTimeFormat('en-GB', { dateStyle: 'medium', timeStyle: 'short' });

/** What came in before, newest first. */
export function StoredBefore({ projectId }: { projectId: string }) {
  useEffect(() => void loadBatches(), [projectId]);
  const { value, fault } = batches.value;
  if (fault) return <FaultNote fault={fault} />;
  if (!value || value.length === 0) return null;
  return (
    <section class="stored-before" aria-label="Stored before">
      <h2>Stored before</h2>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard. */}
      <section class="wide" tabIndex={0} aria-label="Files stored before">
        <table>
          <thead>
            <tr>
              <th scope="col">When</th>
              <th scope="col">File</th>
              <th scope="col">As</th>
              <th scope="col" class="number">
                Added
              </th>
              <th scope="col" class="number">
                Changed
              </th>
              <th scope="col" class="number">
                Same
              </th>
              <th scope="col" class="number">
                Left out
              </th>
            </tr>
          </thead>
          <tbody>
            {value.map((batch) => (
              <tr key={batch.id}>
                <td>{moment.format(new Date(batch.at))}</td>
                <td>{batch.fileName}</td>
                <td>{batch.kind === 'shots' ? 'shots' : 'castings'}</td>
                <td class="number">{batch.new.toLocaleString('en-US')}</td>
                <td class="number">{batch.changed.toLocaleString('en-US')}</td>
                <td class="number">{batch.same.toLocaleString('en-US')}</td>
                <td class="number">{batch.refusedRows.toLocaleString('en-US')}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
    </section>
  );
}
