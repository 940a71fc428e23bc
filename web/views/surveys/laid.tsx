import { type LineFeature, lineKinds } from '#shared/line.ts';
import type { Project } from '#shared/project.ts';
import { type SurfaceStage, surfaceStages } from '#shared/staged-import.ts';
import type { Surface } from '#shared/surface.ts';
import type { TreatmentZone } from '#shared/treatment.ts';
import {
  changeLine,
  changeSurface,
  chooseFinishedFrom,
  type FinishedFrom,
  laidFault,
  lines,
  removeLine,
  renameLine,
  surfaces,
  zones,
} from '../../imports/laid.ts';
import { count } from '../../imports/words.ts';
import { isPlanWanted, show } from '../../state.ts';
import { nominal, unitsOf } from '../../units.ts';
import { RemoveButton } from '../confirm.tsx';
import { FaultNote } from '../notes.tsx';
import { PlanAgain } from '../plan-again.tsx';
import { stages } from './chooser.tsx';
import { LaidMap } from './laid-map.tsx';

/** What plans are made from: surfaces by stage, lines, and zones of treatment. */
export function Laid({ project }: { project: Project }) {
  const faults = [laidFault.value, surfaces.value.fault, lines.value.fault, zones.value.fault];
  const fault = faults.find((each) => each !== null);
  return (
    <section class="laid" aria-label="What plans are made from">
      <h2>What plans are made from</h2>
      {fault && <FaultNote fault={fault} />}
      {surfaces.value.value && <Surfaces all={surfaces.value.value} project={project} />}
      {lines.value.value && lines.value.value.features.length > 0 && (
        <Lines all={lines.value.value.features} />
      )}
      {zones.value.value && zones.value.value.length > 0 && (
        <Zones all={zones.value.value} project={project} />
      )}
      <LaidMap project={project} />
      <p>
        <button type="button" class="link" onClick={() => show({ page: 'grade' })}>
          Surfaces, zones of treatment and limits in full
        </button>
      </p>
    </section>
  );
}

const finishedFrom: readonly (readonly [FinishedFrom, string])[] = [
  ['automatic', 'the first that reaches a cover: finished survey, design, treatment'],
  ['survey', 'the survey of the finished surface'],
  ['design', 'the design surface'],
  ['treatment', 'the earlier surface with its treatment'],
];

export const useWords: Readonly<Record<Surface['use'], string>> = {
  survey: 'as the finished survey',
  design: 'as the design',
  treatment: 'with its treatment',
  none: 'not used',
};

function Surfaces({ all, project }: { all: Surface[]; project: Project }) {
  return (
    <>
      <p class="from">
        <label>
          Plans take the finished grade from{' '}
          <select
            value={project.limits.finishedFrom.value}
            onChange={({ currentTarget }) => void chooseFinishedFrom(currentTarget.value as FinishedFrom)}
          >
            {finishedFrom.map(([value, words]) => (
              <option key={value} value={value}>
                {words}
              </option>
            ))}
          </select>
        </label>{' '}
        {isPlanWanted.value && <PlanAgain word={project.planRevision === 0 ? 'Plan' : 'Plan again'} />}
      </p>
      {all.length === 0 && <p class="quiet">No surface yet. Add shots or a design to see what to raise.</p>}
      {all.length > 0 && <SurfaceTable all={all} />}
    </>
  );
}

function SurfaceTable({ all }: { all: Surface[] }) {
  const sorted = [...all].sort(
    (a, b) => surfaceStages.indexOf(b.stage) - surfaceStages.indexOf(a.stage) || a.name.localeCompare(b.name),
  );
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that may scroll sideways has to be reachable by keyboard.
    <section class="wide" tabIndex={0} aria-label="Surfaces">
      <table>
        <thead>
          <tr>
            <th scope="col">Surface</th>
            <th scope="col">Stage</th>
            <th scope="col" class="number">
              Size
            </th>
            <th scope="col">Plans use it</th>
            <th scope="col" class="number">
              Covers
            </th>
          </tr>
        </thead>
        <tbody>
          {sorted.map((surface) => (
            <tr key={surface.id}>
              <td>{surface.name}</td>
              <td>
                <StageChoice surface={surface} />
              </td>
              <td class="number">
                {surface.form === 'faces'
                  ? `${count(surface.faceCount)} ${surface.faceCount === 1 ? 'triangle' : 'triangles'}`
                  : `${count(surface.shotCount)} ${surface.shotCount === 1 ? 'shot' : 'shots'}`}
              </td>
              <td>{useWords[surface.use]}</td>
              <td class="number">{count(surface.coverCount)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

export function StageChoice({ surface }: { surface: Surface }) {
  return (
    <select
      aria-label={`Stage of ${surface.name}`}
      value={surface.stage}
      onChange={({ currentTarget }) =>
        void changeSurface(surface, { stage: currentTarget.value as SurfaceStage })
      }
    >
      {stages.map(([value, words]) => (
        <option key={value} value={value}>
          {words}
        </option>
      ))}
    </select>
  );
}

const lineWords: Readonly<Record<(typeof lineKinds)[number], string>> = {
  centre: 'centre line',
  crown: 'crown line',
  gutter: 'gutter line',
  edge: 'edge of pavement',
  other: 'something else',
};

const mostLines = 40;

export function Lines({ all }: { all: LineFeature[] }) {
  return (
    <>
      <h3>Lines</h3>
      <ul class="laid-lines">
        {all.slice(0, mostLines).map((line) => (
          <li key={line.id}>
            <input
              type="text"
              maxLength={100}
              aria-label={`Name of ${line.properties.name}`}
              value={line.properties.name}
              onChange={({ currentTarget }) => {
                const typed = currentTarget.value.trim();
                if (typed) void renameLine(line, typed);
                else currentTarget.value = line.properties.name;
              }}
            />{' '}
            <select
              aria-label={`Kind of ${line.properties.name}`}
              value={line.properties.kind}
              onChange={({ currentTarget }) => void changeLine(line, currentTarget.value as 'centre')}
            >
              {lineKinds.map((kind) => (
                <option key={kind} value={kind}>
                  {lineWords[kind]}
                </option>
              ))}
            </select>{' '}
            <RemoveButton
              name={line.properties.name}
              so="No undo brings it back."
              remove={() => removeLine(line)}
            />
          </li>
        ))}
      </ul>
      {all.length > mostLines && (
        <p class="quiet">{count(all.length - mostLines)} more are not listed here.</p>
      )}
    </>
  );
}

function Zones({ all, project }: { all: TreatmentZone[]; project: Project }) {
  const units = unitsOf(project);
  const depth = (metres: number) => (metres === 0 ? 'nothing' : nominal(metres, units));
  return (
    <>
      <h3>Zones of treatment</h3>
      <ul class="laid-lines">
        {all.map(({ id, name, millDepthM, liftsM, coverCount }) => (
          <li key={id}>
            <b>{name}</b> mill {depth(millDepthM)}, lay {depth(liftsM.reduce((sum, lift) => sum + lift, 0))}
            {liftsM.length > 1 ? ` in ${liftsM.length} lifts` : ''}; {count(coverCount)} covers
          </li>
        ))}
      </ul>
    </>
  );
}
