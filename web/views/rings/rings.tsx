import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { faultOf } from '../../api.ts';
import { changeLaid, laidFault } from '../../imports/laid.ts';
import { load, loadCatalogue, server } from '../../load.ts';
import { type CatalogueDraft, draftOf, draftOfFile, emptyDraft, toCore } from '../../rings/draft.ts';
import { type Fault, type Loaded, nothingLoaded } from '../../state.ts';
import { NextStep } from '../next-step.tsx';
import { Empty, FaultNote } from '../notes.tsx';
import { CatalogueEditor } from './editor.tsx';

const catalogues = signal<Loaded<RingCatalogue[]>>(nothingLoaded);
const draft = signal<CatalogueDraft | null>(null);
const fault = signal<Fault | null>(null);

/** Rings that stacks are made of: which catalogue the project takes, and new ones from a table or a file. */
export function Rings({ project }: { project: Project }) {
  const input = useRef<HTMLInputElement>(null);
  useEffect(() => {
    draft.value = null;
    fault.value = null;
    laidFault.value = null;
    void load(catalogues, () => server().catalogues());
  }, [project.id]);
  const take = async (file: File | undefined) => {
    if (input.current) input.current.value = '';
    if (!file) return;
    const read = draftOfFile(await file.text(), file.name);
    const isRead = !Array.isArray(read);
    fault.value = isRead ? null : { message: `${file.name} was not taken.`, fields: read };
    if (isRead) draft.value = read;
  };
  const all = catalogues.value.value;
  const wrong = fault.value ?? laidFault.value ?? catalogues.value.fault;
  const begin = () => (draft.value = emptyDraft(project.displayUnit));
  return (
    <div class="surveys rings">
      <div class="surveys-body">
        <h1>Rings</h1>
        <p class="lead">
          What stacks of <b>{project.name}</b> are made of.
        </p>
        <NextStep project={project} />
        {wrong && <FaultNote fault={wrong} />}
        {draft.value ? (
          <CatalogueEditor
            draft={draft.value}
            change={(next) => (draft.value = next)}
            store={(catalogue) => storeCatalogue(project, catalogue)}
            taken={(all ?? []).map(({ id }) => id)}
          />
        ) : (
          <>
            {all?.length === 0 && (
              <Empty
                sentence="No rings yet. Name the rings in the yard to see stacks of them."
                action={{ word: 'Write a catalogue', run: begin }}
              />
            )}
            {all && all.length > 0 && <CatalogueList all={all} project={project} />}
            <p class="foot-actions file-choice">
              {all && all.length > 0 && (
                <button type="button" class="button" onClick={begin}>
                  Write a catalogue
                </button>
              )}
              <input
                ref={input}
                type="file"
                id="catalogue-file"
                accept=".json,application/json"
                class="hidden"
                onChange={(event) => void take(event.currentTarget.files?.[0])}
              />
              <label class="button" for="catalogue-file">
                Take one from a file
              </label>
            </p>
          </>
        )}
      </div>
    </div>
  );
}

/** Whether it is stored; the project then takes its rings from it. */
async function storeCatalogue(project: Project, catalogue: RingCatalogue): Promise<void> {
  fault.value = null;
  try {
    await server().createCatalogue(catalogue);
  } catch (error) {
    fault.value = faultOf(error);
    return;
  }
  draft.value = null;
  await Promise.all([load(catalogues, () => server().catalogues()), choose(project, catalogue.id)]);
}

async function choose(project: Project, id: string): Promise<void> {
  if (await changeLaid(() => server().changeProject(project, { ringCatalogueId: id })))
    await loadCatalogue(id);
}

function CatalogueList({ all, project }: { all: RingCatalogue[]; project: Project }) {
  return (
    <ul class="laid-lines">
      {all.map((catalogue) => (
        <li key={catalogue.id}>
          <label>
            <input
              type="radio"
              name="catalogue"
              checked={project.ringCatalogueId === catalogue.id}
              onChange={() => void choose(project, catalogue.id)}
            />{' '}
            <b>{catalogue.name}</b> {catalogue.rings.length} rings, {catalogue.maxRings} in a stack at most
          </label>{' '}
          <button
            type="button"
            class="link"
            onClick={() => (draft.value = draftOf(toCore(catalogue), catalogue.name))}
          >
            See or change a copy<span class="hidden"> of {catalogue.name}</span>
          </button>
        </li>
      ))}
    </ul>
  );
}
