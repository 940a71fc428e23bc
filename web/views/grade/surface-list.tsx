import type { Project } from '#shared/project.ts';
import type { Surface, SurfacePatch } from '#shared/surface.ts';
import {
  changeSurface,
  chooseFinishedFrom,
  type FinishedFrom,
  removeSurface,
  surfaces,
} from '../../imports/laid.ts';
import { count } from '../../imports/words.ts';
import { show } from '../../state.ts';
import { RemoveButton } from '../confirm.tsx';
import { StageChoice, useWords } from '../surveys/laid.tsx';

const choices: readonly (readonly [FinishedFrom, string, string])[] = [
  [
    'automatic',
    'The first that reaches a cover',
    'the finished survey, else the design, else an earlier surface with its treatment',
  ],
  ['survey', 'Finished survey', 'shots on the finished surface, and nothing else'],
  ['design', 'Design', 'triangles of the finished surface'],
  [
    'treatment',
    'Earlier surface and its treatment',
    'the surface farthest on in the work, less what is still milled, plus the lifts still laid',
  ],
];

/** The rule for finished grades and the surfaces that it chooses among. */
export function SurfaceList({ project }: { project: Project }) {
  const all = surfaces.value.value;
  return (
    <>
      <fieldset class="finished-from">
        <legend>Plans take the finished grade from</legend>
        {choices.map(([value, words, meaning]) => (
          <label key={value}>
            <input
              type="radio"
              name="finished-from"
              checked={project.limits.finishedFrom.value === value}
              onChange={() => void chooseFinishedFrom(value)}
            />
            <span>
              <b>{words}</b> <span class="quiet">{meaning}</span>
            </span>
          </label>
        ))}
      </fieldset>
      {all?.length === 0 && (
        <p>
          No surface yet. Add shots or a design to see what to raise.{' '}
          <button type="button" class="link" onClick={() => show({ page: 'surveys' })}>
            Add files
          </button>
        </p>
      )}
      {all && all.length > 0 && <Table all={all} />}
    </>
  );
}

function Table({ all }: { all: Surface[] }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard.
    <section class="wide" tabIndex={0} aria-label="Surfaces">
      <table>
        <thead>
          <tr>
            {[
              'Surface',
              'Stage',
              'Lift',
              'Day',
              'Datum',
              'File’s unit',
              'Size',
              'Plans use it',
              'Covers',
              'Remove',
            ].map((word) => (
              <th key={word} scope="col">
                {word}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {all.map((surface) => (
            <Row key={surface.id} surface={surface} />
          ))}
        </tbody>
      </table>
    </section>
  );
}

const unitWords = { m: 'metre', ft: 'international foot', 'us-ft': 'US survey foot' };

const sizeOf = ({ form, faceCount, shotCount }: Surface) =>
  form === 'faces'
    ? `${count(faceCount)} ${faceCount === 1 ? 'triangle' : 'triangles'}`
    : `${count(shotCount)} ${shotCount === 1 ? 'shot' : 'shots'}`;

function Row({ surface }: { surface: Surface }) {
  const { name, stage, lift, epoch, verticalDatum, elevationUnit } = surface;
  const put = (patch: SurfacePatch) => void changeSurface(surface, patch);
  return (
    <tr>
      <td>
        <input
          type="text"
          maxLength={100}
          size={18}
          aria-label={`Name of ${name}`}
          value={name}
          onChange={({ currentTarget }) => {
            const typed = currentTarget.value.trim();
            if (typed) put({ name: typed });
            else currentTarget.value = name;
          }}
        />
      </td>
      <td>
        <StageChoice surface={surface} />
      </td>
      <td>
        {stage === 'lift' ? (
          <input
            type="number"
            min="1"
            max="10"
            aria-label={`Lift of ${name}`}
            value={lift ?? ''}
            onChange={({ currentTarget: { value } }) => put({ lift: value === '' ? null : Number(value) })}
          />
        ) : (
          '·'
        )}
      </td>
      <td>
        <input
          type="date"
          aria-label={`Day of ${name}`}
          value={epoch ?? ''}
          onChange={({ currentTarget: { value } }) => put({ epoch: value || null })}
        />
      </td>
      <td>
        <input
          type="text"
          size={10}
          aria-label={`Vertical datum of ${name}`}
          value={verticalDatum ?? ''}
          onChange={({ currentTarget: { value } }) => put({ verticalDatum: value.trim() || null })}
        />
      </td>
      <td>{elevationUnit ? unitWords[elevationUnit] : 'not said'}</td>
      <td>{sizeOf(surface)}</td>
      <td>{useWords[surface.use]}</td>
      <td>{count(surface.coverCount)}</td>
      <td>
        <RemoveButton
          name={name}
          so={`${sizeOf(surface)} go with it, and no undo brings them back.`}
          remove={() => removeSurface(surface)}
        />
      </td>
    </tr>
  );
}
