import { useId, useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { readSize, sizeText } from '../../grade/lengths.ts';
import { changeLaid } from '../../imports/laid.ts';
import { server } from '../../load.ts';
import { nominal, unitsOf } from '../../units.ts';
import { sourceWords } from './limit-words.ts';

type Whose = 'project' | 'agency';

/** Limit of the chimney's height in force and whose it is, to be set for the project or for all of the agency's. */
export function ChimneyLimit({ project }: { project: Project }) {
  const [isOpen, setOpen] = useState(false);
  const { value, from } = project.limits.maxChimneyM;
  const units = unitsOf(project);
  return (
    <div class="chimney-limit">
      <dt>Chimney at most</dt>
      <dd>
        {value === null ? 'not said: no ring catalogue' : `${nominal(value, units)}, ${sourceWords[from]}`}{' '}
        {!isOpen && (
          <button type="button" class="link" onClick={() => setOpen(true)}>
            Set<span class="hidden"> the chimney limit</span>
          </button>
        )}
        {!isOpen && (from === 'project' || from === 'agency') && (
          <>
            {' '}
            <button type="button" class="link" onClick={() => void setLimit(project, from, null)}>
              Take it back
            </button>
          </>
        )}
        {isOpen && <LimitForm project={project} onEnd={() => setOpen(false)} />}
      </dd>
    </div>
  );
}

function LimitForm({ project, onEnd }: { project: Project; onEnd: () => void }) {
  const units = unitsOf(project);
  const { value, from } = project.limits.maxChimneyM;
  const id = useId();
  const [text, setText] = useState(value === null ? '' : sizeText(value, units));
  const [whose, setWhose] = useState<Whose>(from === 'agency' ? 'agency' : 'project');
  const [fault, setFault] = useState<string | null>(null);
  const store = async (event: Event) => {
    event.preventDefault();
    const read = readSize(text, units);
    const wrong =
      'fault' in read
        ? read.fault
        : read.value <= 0
          ? 'A chimney limit is more than nothing.'
          : read.value > 5
            ? `A chimney limit is at most ${nominal(5, units)}.`
            : null;
    setFault(wrong);
    if (wrong !== null || 'fault' in read) return;
    if (await setLimit(project, whose, read.value)) onEnd();
  };
  return (
    <form class="limit-form" onSubmit={store} aria-label="Chimney limit">
      <label for={id}>Limit, {units.smallUnit}</label>
      <input
        id={id}
        type="text"
        value={text}
        aria-invalid={fault !== null || undefined}
        aria-describedby={fault === null ? undefined : `${id}-fault`}
        onInput={({ currentTarget }) => setText(currentTarget.value)}
      />
      <label>
        <span class="hidden">Whose it is</span>
        <select value={whose} onChange={({ currentTarget }) => setWhose(currentTarget.value as Whose)}>
          <option value="project">for this project</option>
          <option value="agency">for all of the agency</option>
        </select>
      </label>
      <button type="submit" class="button main">
        Set it
      </button>
      <button type="button" class="button" onClick={onEnd}>
        Leave it
      </button>
      {fault !== null && (
        <p id={`${id}-fault`} class="wrong" role="alert">
          {fault}
        </p>
      )}
    </form>
  );
}

/** null takes it back: the next in line is in force then. */
const setLimit = (project: Project, whose: Whose, maxChimneyM: number | null) =>
  changeLaid(() =>
    whose === 'project'
      ? server().changeProject(project, { policy: { maxChimneyM } })
      : server().changeAgency({ policy: { maxChimneyM } }),
  );
