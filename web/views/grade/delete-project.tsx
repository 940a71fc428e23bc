import { useEffect, useRef, useState } from 'preact/hooks';
import type { JobProgress } from '#shared/job.ts';
import type { Project, ProjectHoldings } from '#shared/project.ts';
import { ApiError, faultOf } from '../../api.ts';
import { reloadProjects, server } from '../../load.ts';
import { announcement, type Fault, show } from '../../state.ts';
import { emptyView } from '../../url.ts';
import { FaultNote } from '../notes.tsx';
import { hindranceWords, lossWords, nightWords } from './holdings-words.ts';

/** How often it is asked whether a deletion of which nothing is heard has come to its end. */
const lookMs = 2000;

/** Resolves when a deletion is done: its job goes with the project. */
function untilGone(jobId: string, tell: (progress: JobProgress) => void): Promise<void> {
  return new Promise((resolve) => {
    const end = () => {
      stop();
      clearInterval(looking);
      resolve();
    };
    const stop = server().watchJob(jobId, (progress) => {
      tell(progress);
      if (progress.state === 'done') end();
    });
    const looking = setInterval(() => {
      server()
        .job(jobId)
        .catch((error) => {
          if (error instanceof ApiError && error.status === 404) end();
        });
    }, lookMs);
  });
}

function Going({ name, done, total }: { name: string; done: number; total: number }) {
  const rows = (count: number) => count.toLocaleString('en');
  return (
    <section class="delete-project" aria-label="The project itself">
      <h2>{name} is being deleted</h2>
      <p>
        <progress max={Math.max(1, total)} value={done} aria-label={`Deleting ${name}`} />{' '}
        {total > 0 ? `${rows(done)} of ${rows(total)} rows are gone.` : 'Waiting for its turn.'} It goes on to
        its end, also without this page.
      </p>
    </section>
  );
}

/** Deleting a project: first what goes with it is counted and said, then it is asked for once more. */
export function DeleteProject({ project }: { project: Project }) {
  const [held, setHeld] = useState<ProjectHoldings | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [isBusy, setBusy] = useState(false);
  const [going, setGoing] = useState<Pick<JobProgress, 'done' | 'total'> | null>(null);
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
      const { id } = await server().deleteProject(project);
      setGoing({ done: 0, total: 0 });
      await untilGone(id, setGoing);
      await reloadProjects();
      show(emptyView);
      announcement.value = `${project.name} is deleted.`;
    });
  if (going) return <Going name={project.name} {...going} />;
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
