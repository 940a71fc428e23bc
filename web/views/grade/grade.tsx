import { useEffect, useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import { draft } from '../../grade/draft.ts';
import { laidFault, lines, loadLaid, surfaces, zones } from '../../imports/laid.ts';
import { isPlanWanted, show } from '../../state.ts';
import { NextStep } from '../next-step.tsx';
import { FaultNote } from '../notes.tsx';
import { PlanAgain } from '../plan-again.tsx';
import { Lines } from '../surveys/laid.tsx';
import { DeleteProject } from './delete-project.tsx';
import { LimitList } from './limit-list.tsx';
import { Sealing } from './sealing.tsx';
import { SurfaceList } from './surface-list.tsx';
import { Zones } from './zones.tsx';

type ZoneMapView = typeof import('../../map/zone-map.tsx').default;

/** What finished grades come from: surfaces by stage, what is done to the pavement, lines and limits. */
export function Grade({ project }: { project: Project }) {
  useEffect(() => {
    draft.value = null;
    void loadLaid();
  }, [project.id]);
  const fault = [laidFault, surfaces, lines, zones]
    .map(({ value }) => (value && 'loading' in value ? value.fault : value))
    .find((each) => each !== null);
  const drawn = lines.value.value?.features ?? [];
  return (
    <div class="surveys grade">
      <div class="surveys-body">
        <h1>Finished grade</h1>
        <p class="lead">
          What plans of <b>{project.name}</b> are made from.{' '}
          {isPlanWanted.value && <PlanAgain word={project.planRevision === 0 ? 'Plan' : 'Plan again'} />}
        </p>
        <NextStep project={project} />
        {fault && <FaultNote fault={fault} />}
        <SurfaceList project={project} />
        <Zones project={project} />
        <ZoneMapFrame project={project} />
        {drawn.length > 0 ? (
          <Lines all={drawn} />
        ) : (
          <>
            <h3>Lines</h3>
            <p class="quiet">
              No centre, crown or gutter line yet.{' '}
              <button type="button" class="link" onClick={() => show({ page: 'surveys' })}>
                Add files
              </button>
            </p>
          </>
        )}
        <LimitList project={project} />
        <Sealing project={project} />
        <DeleteProject key={project.id} project={project} />
      </div>
    </div>
  );
}

function ZoneMapFrame({ project }: { project: Project }) {
  const [code, setCode] = useState<{ ZoneMap: ZoneMapView } | null>(null);
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    import('../../map/zone-map.tsx').then(
      ({ default: ZoneMap }) => setCode({ ZoneMap }),
      () => setFailed(true),
    );
  }, []);
  const bounds = project.boundsLonLat as [number, number, number, number] | null;
  if (!bounds) return <p class="quiet">The map needs covers: add a register first.</p>;
  if (failed) return <p class="quiet">The map could not be loaded; zones can be made from lines.</p>;
  return code && <code.ZoneMap project={project} bounds={bounds} />;
}
