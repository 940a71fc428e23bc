import { useEffect, useRef, useState } from 'preact/hooks';
import type { Project, ProjectHoldings } from '#shared/project.ts';
import { faultOf } from '../../api.ts';
import { reloadProjects, server } from '../../load.ts';
import { announcement, type Fault, show } from '../../state.ts';
import { emptyView } from '../../url.ts';
import { FaultNote } from '../notes.tsx';
import { hindranceWords, lossWords, nightWords } from './holdings-words.ts';

/** Deleting a project: first what goes with it is counted and said, then it is asked for once more. */
export function DeleteProject({ project }: { project: Project }) {
  const [held, setHeld] = useState<ProjectHoldings | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [isBusy, setBusy] = useState(false);
  const keep = useRef<HTMLButtonElement>(null);
  useEffect(() => keep.current?.focus(), [held]);
  const run = async (work: () => Promise<void>) => {
    setFault(null);
    setBusy(true);
    try {
      await work();
    } catch (error) {
      setFault(faultOf(error));
    }
    setBusy(false);
  };
  const ask = () => run(async () => setHeld(await server().holdings(project.id)));
  const remove = () =>
    run(async () => {
      await server().deleteProject(project);
      await reloadProjects();
      show(emptyView);
      announcement.value = `${project.name} is deleted.`;
    });
  const hindrance = held && hindranceWords(held);
  return (
    <section class="delete-project" aria-label="The project itself">
      <h2>The project itself</h2>
      {held === null && (
        <p>
          <button type="button" class="button" disabled={isBusy} onClick={ask}>
            Delete {project.name}…
          </button>
        </p>
      )}
      {held !== null && (
        <div class="confirm" aria-busy={isBusy}>
          <p>
            <b>{hindrance === null ? `Delete ${project.name}?` : `${project.name} cannot be deleted.`}</b>{' '}
            {hindrance ?? lossWords(held)} {hindrance === null && nightWords(held)}
          </p>
          <p class="foot-actions">
            <button ref={keep} type="button" class="button" onClick={() => setHeld(null)}>
              {hindrance === null ? 'Keep it' : 'Put away'}
            </button>
            {hindrance === null && (
              <button type="button" class="button" disabled={isBusy} onClick={remove}>
                Delete it for good
              </button>
            )}
          </p>
        </div>
      )}
      {fault && <FaultNote fault={fault} />}
    </section>
  );
}
