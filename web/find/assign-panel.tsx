import { signal } from '@preact/signals';
import { useEffect, useState } from 'preact/hooks';
import { counted } from '#core/units/count.ts';
import type { AssignBody, AssignResult } from '#shared/assignment.ts';
import { faultOf } from '../api.ts';
import { refresh, server } from '../load.ts';
import { announcement, type Fault, project, projects, tilesChanged } from '../state.ts';
import { FaultNote } from '../views/notes.tsx';
import { areaCorners, type ChoiceWay, choose, choosingBy, pickedIds, selection } from './picked.ts';
import { isFiltered, matching } from './rows.ts';

const ways: { way: ChoiceWay; word: string }[] = [
  { way: 'rows', word: 'Rows' },
  { way: 'area', word: 'Area on the map' },
  { way: 'filter', word: 'All that the filter shows' },
];

interface Done {
  projectId: string;
  assignmentId: string;
  words: string;
}
/** The last assignment, for as long as it can be undone from here. */
const done = signal<Done | null>(null);
const fault = signal<Fault | null>(null);
const restMs = 250;

/** Opens the choosing of several covers. */
export function ChooseSeveral() {
  if (choosingBy.value !== null) return null;
  return (
    <button type="button" class="link" onClick={() => choose('rows')}>
      Select several
    </button>
  );
}

/** Several covers at once: chosen, counted, given to a crew, a night or a project, and taken back. */
export function AssignPanel() {
  if (choosingBy.value === null && done.value === null) return null;
  return (
    <section class="assign" aria-label="Several covers at once">
      {choosingBy.value !== null && <Choosing />}
      {fault.value && <FaultNote fault={fault.value} />}
      {done.value && <DoneNote done={done.value} />}
    </section>
  );
}

function Choosing() {
  return (
    <>
      <fieldset class="assign-ways">
        <legend class="hidden">Select by</legend>
        {ways.map(({ way, word }) => (
          <button
            key={way}
            type="button"
            class="chip"
            aria-pressed={choosingBy.value === way}
            onClick={() => choose(way)}
          >
            {word}
          </button>
        ))}
        <span class="quiet">{chosenWords()}</span>
        <button type="button" class="link" onClick={() => choose(null)}>
          Stop selecting
        </button>
      </fieldset>
      <AssignForm />
    </>
  );
}

function chosenWords(): string {
  const way = choosingBy.value;
  if (way === 'rows') return `${pickedIds.value.size} selected. Tick rows in the table.`;
  if (way === 'area') {
    const { length } = areaCorners.value;
    return length < 3
      ? `${counted(length, 'corner')}; an area has three or more.`
      : `An area of ${length} corners.`;
  }
  return isFiltered.value
    ? `${matching.value === 1 ? '1 cover' : `${matching.value ?? 'All'} covers`} that the filter leaves.`
    : 'No filter is set: all covers of the project.';
}

function AssignForm() {
  const now = project.value!;
  const [crew, setCrew] = useState('');
  const [isNoCrew, setNoCrew] = useState(false);
  const [night, setNight] = useState('');
  const [isNoNight, setNoNight] = useState(false);
  const [to, setTo] = useState(now.id);
  const [isBusy, setBusy] = useState(false);
  const isOther = to !== now.id;
  const asked = selection.value;
  const given = {
    ...(isNoCrew ? { crew: null } : crew.trim() ? { crew: crew.trim() } : {}),
    ...(isNoNight ? { night: null } : night ? { night } : {}),
  };
  const isGiven = isOther || Object.keys(given).length > 0;
  const isPossible = asked !== null && isGiven && !(isOther && asked.filter);
  const body: AssignBody | null = isPossible
    ? { selection: asked, ...given, ...(isOther ? { from: 'register' as const } : {}) }
    : null;
  const count = useCount(to, body);
  const number = count ? count.changed + count.joined : 0;
  const assign = async (event: Event) => {
    event.preventDefault();
    if (!body || number === 0) return;
    setBusy(true);
    await store(to, body);
    setBusy(false);
  };
  return (
    <form class="assign-form" onSubmit={assign}>
      <label>
        Crew{' '}
        <input
          value={crew}
          maxLength={100}
          disabled={isNoCrew}
          placeholder="stays"
          onInput={(event) => setCrew(event.currentTarget.value)}
        />
      </label>
      <label>
        <input
          type="checkbox"
          checked={isNoCrew}
          onChange={(event) => setNoCrew(event.currentTarget.checked)}
        />{' '}
        no crew
      </label>
      <label>
        Night{' '}
        <input
          type="date"
          value={night}
          disabled={isNoNight}
          onInput={(event) => setNight(event.currentTarget.value)}
        />
      </label>
      <label>
        <input
          type="checkbox"
          checked={isNoNight}
          onChange={(event) => setNoNight(event.currentTarget.checked)}
        />{' '}
        no night
      </label>
      {(projects.value.value ?? []).length > 1 && (
        <label>
          Project{' '}
          <select value={to} onChange={(event) => setTo(event.currentTarget.value)}>
            {(projects.value.value ?? []).map(({ id, name }) => (
              <option key={id} value={id}>
                {id === now.id ? 'this one' : name}
              </option>
            ))}
          </select>
        </label>
      )}
      <button type="submit" class="button main" disabled={number === 0 || isBusy}>
        {number === 1 ? 'Assign 1 cover' : `Assign ${number} covers`}
      </button>
      <span class="quiet" role="status">
        {isOther && asked?.filter
          ? 'The filter is of this project; select rows or an area for another one.'
          : countWords(count, isGiven)}
      </span>
    </form>
  );
}

function countWords(count: AssignResult | null, isGiven: boolean): string {
  if (!isGiven) return 'Say a crew or a night.';
  if (!count) return '';
  const parts = [`${count.matched} selected`];
  if (count.changed > 0) parts.push(`${count.changed} would change`);
  if (count.joined > 0) parts.push(`${count.joined} would join the project`);
  if (count.same > 0) parts.push(`${counted(count.same, 'has', 'have')} it so already`);
  if (count.missingCount > 0) parts.push(`${counted(count.missingCount, 'is', 'are')} not there any more`);
  return `${parts.join(', ')}.`;
}

/** What the assignment would do, counted by the server; nothing is stored. */
function useCount(to: string, body: AssignBody | null): AssignResult | null {
  const [count, setCount] = useState<AssignResult | null>(null);
  const text = JSON.stringify(body);
  useEffect(() => {
    setCount(null);
    fault.value = null;
    if (text === 'null') return;
    let isOver = false;
    const timer = setTimeout(async () => {
      try {
        const answer = await server().assign(to, { ...JSON.parse(text), preview: true });
        if (!isOver) setCount(answer);
      } catch (error) {
        if (!isOver) fault.value = faultOf(error);
      }
    }, restMs);
    return () => {
      isOver = true;
      clearTimeout(timer);
    };
  }, [to, text]);
  return count;
}

async function store(projectId: string, body: AssignBody): Promise<void> {
  try {
    const { assignmentId, changed, joined } = await server().assign(projectId, body);
    const words = `Assigned ${counted(changed + joined, 'cover')}.`;
    done.value = assignmentId === null ? null : { projectId, assignmentId, words };
    announcement.value = words;
    choose(null);
    tilesChanged.value += 1;
    await refresh();
  } catch (error) {
    fault.value = faultOf(error);
  }
}

function DoneNote({ done: { projectId, assignmentId, words } }: { done: Done }) {
  const undo = async () => {
    try {
      const { restored, removed, refusedCount } = await server().undoAssign(projectId, assignmentId);
      done.value = null;
      const left =
        refusedCount > 0
          ? ` ${counted(refusedCount, 'was changed since and stays', 'were changed since and stay')}.`
          : '';
      announcement.value = `Taken back for ${counted(restored + removed, 'cover')}.${left}`;
      fault.value = left ? { message: announcement.value, fields: [] } : null;
      tilesChanged.value += 1;
      await refresh();
    } catch (error) {
      fault.value = faultOf(error);
    }
  };
  return (
    <p class="assign-done">
      <b>{words}</b>{' '}
      <button type="button" class="link" onClick={undo}>
        Undo
      </button>{' '}
      <button type="button" class="link" onClick={() => (done.value = null)}>
        Keep
      </button>
    </p>
  );
}
