import { useId, useState } from 'preact/hooks';
import type { LimitSource, PolicyChoice } from '#shared/policy.ts';
import type { Project } from '#shared/project.ts';
import type { Typed } from '../../grade/lengths.ts';
import { changeLaid } from '../../imports/laid.ts';
import { server } from '../../load.ts';

type Whose = 'project' | 'agency';

/** A limit that an agency or a project sets itself. */
export interface SettingOf {
  name: keyof PolicyChoice;
  word: string;
  /** After a verb: `the chimney limit`. */
  called: string;
  /** What its field is called, with the unit of a bare number. */
  field: string;
  /** What is in force and whose it is, in words. */
  shown: string;
  from: LimitSource;
  /** What its field begins with. */
  typed: string;
  /** A choice of these in place of what is typed. */
  choices?: readonly { value: string; word: string }[];
  read: (text: string) => Typed<number | string>;
}

/** A limit in force, to be set for the project or for all of the agency's, and to be taken back. */
export function Setting({ project, of, look }: { project: Project; of: SettingOf; look?: string }) {
  const [isOpen, setOpen] = useState(false);
  const { from } = of;
  return (
    <div class={look ?? 'setting'}>
      <dt>{of.word}</dt>
      <dd>
        {of.shown}{' '}
        {!isOpen && (
          <button type="button" class="link" onClick={() => setOpen(true)}>
            Set<span class="hidden"> {of.called}</span>
          </button>
        )}
        {!isOpen && (from === 'project' || from === 'agency') && (
          <>
            {' '}
            <button
              type="button"
              class="link"
              onClick={() => void store(project, of, { whose: from, value: null })}
            >
              Take it back<span class="hidden">: {of.called}</span>
            </button>
          </>
        )}
        {isOpen && <SettingForm project={project} of={of} onEnd={() => setOpen(false)} />}
      </dd>
    </div>
  );
}

function SettingForm({ project, of, onEnd }: { project: Project; of: SettingOf; onEnd: () => void }) {
  const id = useId();
  const [text, setText] = useState(of.typed);
  const [whose, setWhose] = useState<Whose>(of.from === 'agency' ? 'agency' : 'project');
  const [fault, setFault] = useState<string | null>(null);
  const submit = async (event: Event) => {
    event.preventDefault();
    const read = of.read(text);
    setFault('fault' in read ? read.fault : null);
    if ('fault' in read) return;
    if (await store(project, of, { whose, value: read.value })) onEnd();
  };
  return (
    <form class="limit-form" onSubmit={submit} aria-label={of.word}>
      <label for={id}>{of.field}</label>
      {of.choices ? (
        <select id={id} value={text} onChange={({ currentTarget }) => setText(currentTarget.value)}>
          {of.choices.map(({ value, word }) => (
            <option key={value} value={value}>
              {word}
            </option>
          ))}
        </select>
      ) : (
        <input
          id={id}
          type="text"
          value={text}
          aria-invalid={fault !== null || undefined}
          aria-describedby={fault === null ? undefined : `${id}-fault`}
          onInput={({ currentTarget }) => setText(currentTarget.value)}
        />
      )}
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
const store = (
  project: Project,
  { name }: SettingOf,
  { whose, value }: { whose: Whose; value: number | string | null },
) => {
  const policy = { [name]: value } as PolicyChoice;
  return changeLaid(() =>
    whose === 'project' ? server().changeProject(project, { policy }) : server().changeAgency({ policy }),
  );
};
