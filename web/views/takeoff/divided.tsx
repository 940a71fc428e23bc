import { useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import type { Takeoff } from '#shared/takeoff.ts';
import { nightText } from '../../night-words.ts';
import { show, view } from '../../state.ts';
import { ask, fileAddress } from '../../takeoff/asked.ts';
import { sizeWords } from '../../takeoff/figures.ts';
import { type Division, divisions } from '../../url.ts';

const words: Record<Division, { title: string; none: string }> = {
  street: { title: 'By street', none: 'No street' },
  night: { title: 'By night', none: 'No night' },
  crew: { title: 'By crew', none: 'No crew' },
};
const fewRows = 60;

/** The rings needed, divided by street, night or crew; a name leads to its own takeoff. */
export function Divided({ value, project }: { value: Takeoff; project: Project }) {
  const [isAll, setAll] = useState(false);
  const by = value.by ?? view.value.takeoff.by;
  const rows = isAll ? value.groups : value.groups.slice(0, fewRows);
  return (
    <section aria-label="Divided">
      <div class="takeoff-head">
        <h2>{words[by].title}</h2>
        <fieldset class="divisions">
          <legend class="hidden">Divide by</legend>
          {divisions.map((one) => (
            <button
              key={one}
              type="button"
              class="chip"
              aria-pressed={view.value.takeoff.by === one}
              onClick={() => ask({ by: one })}
            >
              {words[one].title}
            </button>
          ))}
        </fieldset>
        <a class="csv" href={fileAddress(project, 'takeoff.csv', by)} download>
          Save as a CSV file<span class="hidden">: {words[by].title}</span>
        </a>
      </div>
      <Rows value={value} by={by} rows={rows} />
      {value.groups.length > fewRows && (
        <button type="button" class="link" onClick={() => setAll(!isAll)}>
          {isAll ? `Only the first ${fewRows}` : `All ${value.groups.length.toLocaleString('en')}`}
        </button>
      )}
    </section>
  );
}

interface RowsProps {
  value: Takeoff;
  by: Division;
  rows: Takeoff['groups'];
}

function Rows({ value, by, rows }: RowsProps) {
  const rings = value.rings.filter(({ needed }) => needed > 0);
  const unknown = value.unknownRings.filter(({ needed }) => needed > 0);
  const figure = (count: number) => (count === 0 ? <span class="quiet">·</span> : count.toLocaleString('en'));
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard.
    <section class="wide" tabIndex={0} aria-label={`Rings ${words[by].title.toLowerCase()}`}>
      <table class="divided">
        <thead>
          <tr>
            <th scope="col">
              {words[by].title.replace('By ', '').replace(/^./, (first) => first.toUpperCase())}
            </th>
            {['Covers', 'To build', 'Built', 'Not in it', 'Rings'].map((heading) => (
              <th key={heading} scope="col" class="number">
                {heading}
              </th>
            ))}
            {rings.map((ring) => (
              <th key={ring.ring} scope="col" class="number" title={sizeWords(ring, value.unit)}>
                {ring.ring}
              </th>
            ))}
            {unknown.map(({ ring }) => (
              <th key={ring} scope="col" class="number" title="not in the catalogue">
                {ring}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((group) => (
            <tr key={group.name}>
              <th scope="row">
                <GroupName name={group.name} by={by} />
              </th>
              {[group.covers, group.toBuild, group.built, group.leftOut, group.needed].map((count, at) => (
                <td key={at} class="number">
                  {figure(count)}
                </td>
              ))}
              {[...rings, ...unknown].map(({ ring }) => (
                <td key={ring} class="number">
                  {figure(group.rings[ring] ?? 0)}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
        <tfoot>
          <tr>
            <th scope="row">All</th>
            {[value.covers, value.toBuild, value.built, value.leftOut, value.totals.needed].map(
              (count, at) => (
                <td key={at} class="number">
                  <b>{figure(count)}</b>
                </td>
              ),
            )}
            {[...rings, ...unknown].map(({ ring, needed }) => (
              <td key={ring} class="number">
                <b>{figure(needed)}</b>
              </td>
            ))}
          </tr>
        </tfoot>
      </table>
    </section>
  );
}

/** Covers of no street cannot be asked for, those of no night or crew can. */
function GroupName({ name, by }: { name: string | null; by: Division }) {
  const text = name === null ? words[by].none : by === 'night' ? nightText(name) : name;
  if (name === null && by === 'street') return <span>{text}</span>;
  return (
    <button
      type="button"
      class="link"
      onClick={() => show({ only: { ...view.peek().only, [by]: name ?? '' } })}
    >
      {text}
    </button>
  );
}
