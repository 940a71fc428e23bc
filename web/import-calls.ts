import type { ImportBatch } from '#shared/import.ts';
import type { LineCollection, LineFeature, LinePatch } from '#shared/line.ts';
import type { Project, ProjectPatch } from '#shared/project.ts';
import type { Static } from '#shared/schema.ts';
import type {
  ImportAnswers,
  ImportCreate,
  ImportProgress,
  ImportState,
  StagedImport,
  UndoPreview,
  UndoReport,
} from '#shared/staged-import.ts';
import type { Surface, SurfacePatch } from '#shared/surface.ts';
import type { TreatmentZone, TreatmentZoneCreate, TreatmentZonePatch } from '#shared/treatment.ts';
import { key, send, sendJson, watch } from './api.ts';

type LineChange = Static<typeof LinePatch>;
type ProjectChange = Static<typeof ProjectPatch>;

export type ImportAct = 'read' | 'commit' | 'cancel' | 'discard';

/** Deletes what is still as it was read. */
const remove = (path: string, version: number) =>
  send<null>(path, { method: 'DELETE', headers: { 'if-match': `"${version}"` } });

/** Calls about imports and about what imports lay down, below one agency's path. */
export function importCalls(base: string) {
  const projectPath = (project: string) => `${base}/projects/${key(project)}`;
  const importPath = (project: string, id: string) => `${projectPath(project)}/imports/${key(id)}`;
  const items = async <Item>(path: string) => (await send<{ items: Item[] }>(path)).items;
  return {
    imports: (project: string, states: readonly ImportState[]) =>
      items<ImportBatch>(`${projectPath(project)}/imports?states=${states.join(',')}`),
    createImport: (project: string, body: ImportCreate) =>
      sendJson<StagedImport>('POST', `${projectPath(project)}/imports`, { body }),
    stagedImport: (project: string, id: string, signal?: AbortSignal) =>
      send<StagedImport>(importPath(project, id), { signal }),
    answerImport: (project: string, id: string, body: ImportAnswers) =>
      sendJson<StagedImport>('PATCH', importPath(project, id), { body }),
    actOnImport: (project: string, id: string, act: ImportAct) =>
      sendJson<StagedImport>('POST', `${importPath(project, id)}/${act}`, {}),
    watchImport: (
      project: string,
      id: string,
      { onProgress, onLost }: { onProgress: (progress: ImportProgress) => void; onLost: () => void },
    ) => watch(`${importPath(project, id)}/events`, 'progress', onProgress, onLost),
    partPath: (project: string, id: string, number: number) => `${importPath(project, id)}/files/${number}`,
    refusedAddress: (project: string, id: string) => `/api${importPath(project, id)}/refused.csv`,
    undoPreview: (project: string, id: string) => send<UndoPreview>(`${importPath(project, id)}/undo`),
    undoImport: (project: string, id: string, changedSince: 'refuse' | 'skip') =>
      sendJson<UndoReport>('POST', `${importPath(project, id)}/undo`, { body: { changedSince } }),
    surfaces: (project: string) => items<Surface>(`${projectPath(project)}/surfaces`),
    changeSurface: (project: string, { id, version }: Surface, body: SurfacePatch) =>
      sendJson<Surface>('PATCH', `${projectPath(project)}/surfaces/${key(id)}`, { body, version }),
    renameLine: (project: string, { id, properties }: LineFeature, name: string) =>
      sendJson<LineFeature>('PATCH', `${projectPath(project)}/lines/${key(id)}`, {
        body: { name },
        version: properties.version,
      }),
    removeSurface: (project: string, { id, version }: Surface) =>
      remove(`${projectPath(project)}/surfaces/${key(id)}`, version),
    removeLine: (project: string, { id, properties }: LineFeature) =>
      remove(`${projectPath(project)}/lines/${key(id)}`, properties.version),
    lines: (project: string) => send<LineCollection>(`${projectPath(project)}/lines`),
    changeLine: (project: string, { id, properties }: LineFeature, body: LineChange) =>
      sendJson<LineFeature>('PATCH', `${projectPath(project)}/lines/${key(id)}`, {
        body,
        version: properties.version,
      }),
    zones: (project: string) => items<TreatmentZone>(`${projectPath(project)}/treatment-zones`),
    createZone: (project: string, body: TreatmentZoneCreate) =>
      sendJson<TreatmentZone>('POST', `${projectPath(project)}/treatment-zones`, { body }),
    changeZone: (project: string, { id, version }: TreatmentZone, body: TreatmentZonePatch) =>
      sendJson<TreatmentZone>('PATCH', `${projectPath(project)}/treatment-zones/${key(id)}`, {
        body,
        version,
      }),
    removeZone: (project: string, { id, version }: TreatmentZone) =>
      remove(`${projectPath(project)}/treatment-zones/${key(id)}`, version),
    changeProject: ({ id, version }: Project, body: ProjectChange) =>
      sendJson<Project>('PATCH', projectPath(id), { body, version }),
  };
}
