import { useState } from 'preact/hooks';
import type { CrsFound } from '#shared/crs.ts';
import type { ProjectCreate } from '#shared/project.ts';
import { faultOf } from '../../api.ts';
import { idFrom } from '../../grade/outline.ts';
import { reloadProjects, server } from '../../load.ts';
import { type Fault, projects, show } from '../../state.ts';
import { FaultNote } from '../notes.tsx';
import { CrsSearch } from './crs-search.tsx';

type ElevationUnit = ProjectCreate['elevationUnit'];

const elevationUnits: readonly (readonly [ElevationUnit, string])[] = [
  ['us-ft', 'US survey feet'],
  ['ft', 'international feet'],
  ['m', 'metres'],
];

/** A project from its name, grid and units; its files come in on the next page. */
export function NewProject() {
  const [name, setName] = useState('');
  const [crs, setCrs] = useState<CrsFound | null>(null);
  const [elevationUnit, setElevationUnit] = useState<ElevationUnit | ''>('');
  const [displayUnit, setDisplayUnit] = useState<'in' | 'mm' | ''>('');
  const [fault, setFault] = useState<Fault | null>(null);
  const store = async (event: Event) => {
    event.preventDefault();
    const missing = missingOf({ name, crs, elevationUnit, displayUnit });
    if (missing.length > 0) {
      setFault({ message: `Still missing: ${missing.join(', ')}.`, fields: [] });
      return;
    }
    const taken = (projects.peek().value ?? []).map(({ id }) => id);
    try {
      const made = await server().createProject({
        id: idFrom(name, taken, 'project'),
        name: name.trim(),
        crs: crs!.code,
        elevationUnit: elevationUnit as ElevationUnit,
        displayUnit: displayUnit as 'in',
      });
      await reloadProjects();
      show({
        page: 'surveys',
        project: made.id,
        import: null,
        cover: null,
        filter: [],
        search: '',
        at: null,
        street: null,
      });
    } catch (error) {
      setFault(faultOf(error));
    }
  };
  return (
    <div class="surveys">
      <form class="surveys-body new-project-form" onSubmit={(event) => void store(event)}>
        <h1>New project</h1>
        <p class="lead">One overlay: the streets that are paved together. Files come in afterwards.</p>
        <label>
          <span>Name</span>
          <input
            type="text"
            maxLength={200}
            value={name}
            onInput={({ currentTarget }) => setName(currentTarget.value)}
          />
        </label>
        <CrsSearch
          chosen={crs}
          choose={(found) => {
            setCrs(found);
            if (elevationUnit === '') setElevationUnit(unitOf(found.unitName));
          }}
        />
        <Choice
          legend="Elevations are shown in"
          name="elevation-unit"
          value={elevationUnit}
          choices={elevationUnits}
          choose={setElevationUnit}
        />
        <Choice
          legend="Sizes of rings and rim errors in"
          name="display-unit"
          value={displayUnit}
          choices={[
            ['in', 'inches'],
            ['mm', 'millimetres'],
          ]}
          choose={setDisplayUnit}
        />
        {fault && <FaultNote fault={fault} />}
        <p class="foot-actions">
          <button type="submit" class="button main">
            Make the project
          </button>
          <button type="button" class="button" onClick={() => show({ page: 'map' })}>
            Leave it
          </button>
        </p>
      </form>
    </div>
  );
}

interface Entered {
  name: string;
  crs: CrsFound | null;
  elevationUnit: string;
  displayUnit: string;
}

const missingOf = ({ name, crs, elevationUnit, displayUnit }: Entered): string[] =>
  [
    name.trim() === '' ? 'a name' : '',
    crs === null ? 'the grid' : '',
    elevationUnit === '' ? 'the unit of elevations' : '',
    displayUnit === '' ? 'the unit of sizes' : '',
  ].filter(Boolean);

/** The unit that a grid counts in, as a proposal that can be seen and changed; other units propose none. */
function unitOf(unitName: string): ElevationUnit | '' {
  if (/us survey foot/i.test(unitName)) return 'us-ft';
  if (/^foot$/i.test(unitName)) return 'ft';
  return /^metre$/i.test(unitName) ? 'm' : '';
}

interface ChoiceProps<Value extends string> {
  legend: string;
  name: string;
  value: Value | '';
  choices: readonly (readonly [Value, string])[];
  choose: (value: Value) => void;
}

function Choice<Value extends string>({ legend, name, value, choices, choose }: ChoiceProps<Value>) {
  return (
    <fieldset>
      <legend>{legend}</legend>
      {choices.map(([id, words]) => (
        <label key={id}>
          <input type="radio" name={name} checked={value === id} onChange={() => choose(id)} /> {words}
        </label>
      ))}
    </fieldset>
  );
}
