import type { Project } from '#shared/project.ts';
import { FilePanel } from './file-panel.tsx';
import { FootBar } from './foot-bar.tsx';
import { StoredBefore } from './stored-before.tsx';

/** Two files come in here: the register of castings and the shots. Both are read and shown before any is stored. */
export function Surveys({ project }: { project: Project }) {
  return (
    <div class="surveys">
      <div class="surveys-head">
        <h1>Add a register and shots</h1>
        <p>
          For <b>{project.name}</b>. Positions and elevations are read in the project’s grid,{' '}
          <b>
            {project.crs}, {project.crsName}
          </b>
          , in {unitWords[project.elevationUnit]}, unless a heading names another unit.
        </p>
      </div>
      <div class="panels">
        <FilePanel
          kind="structures"
          number={1}
          title="Register of castings"
          hint="CSV with headings: id, kind, position, seat elevation, frame height, rim diameter, and what else is known."
        />
        <FilePanel
          kind="shots"
          number={2}
          title="Shots"
          hint="CSV of point, northing, easting, elevation, code (PNEZD), with or without headings."
        />
        <StoredBefore projectId={project.id} />
      </div>
      <FootBar />
    </div>
  );
}

const unitWords = { m: 'metres', ft: 'international feet', 'us-ft': 'US survey feet' };
