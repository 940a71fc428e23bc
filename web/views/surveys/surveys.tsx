import { useEffect } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { loadLaid } from '../../imports/laid.ts';
import { followImport, loadBatches, resumeUploads } from '../../imports/staged.ts';
import { view } from '../../state.ts';
import { NextStep } from '../next-step.tsx';
import { Chooser } from './chooser.tsx';
import { FootBar } from './foot-bar.tsx';
import { ImportPage } from './import-page.tsx';
import { InHand } from './in-hand.tsx';
import { Laid } from './laid.tsx';
import { StoredBefore } from './stored-before.tsx';
import { UndoNote } from './undo.tsx';

/** Files come in here: every one is read and shown before any of it is stored, and can be taken back afterwards. */
export function Surveys({ project }: { project: Project }) {
  useEffect(followImport, []);
  const isOpen = view.value.import !== null;
  useEffect(() => {
    if (isOpen) return;
    void resumeUploads();
    void loadBatches();
    void loadLaid();
  }, [project.id, isOpen]);
  if (isOpen) return <ImportPage />;
  return (
    <div class="surveys">
      <div class="surveys-body">
        <h1>Add files</h1>
        <p class="lead">
          For <b>{project.name}</b>, whose grid is {project.crs}, {project.crsName}.
        </p>
        <NextStep project={project} />
        <Chooser />
        <UndoNote />
        <InHand />
        <div class="start-columns">
          <Laid project={project} />
          <StoredBefore />
        </div>
      </div>
      <FootBar staged={null} />
    </div>
  );
}
