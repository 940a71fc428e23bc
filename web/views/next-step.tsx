import type { Project } from '#shared/project.ts';
import { surfaces } from '../imports/laid.ts';
import { show } from '../state.ts';
import type { Page } from '../url.ts';
import { PlanAgain } from './plan-again.tsx';

interface Step {
  sentence: string;
  /** null: the plan itself. */
  page: Page | null;
  word: string;
}

/** What a project needs before it has its first plan; null once it has one. `surfaceCount`: null while not known. */
export function nextStep(
  {
    coverCount,
    ringCatalogueId,
    planRevision,
  }: Pick<Project, 'coverCount' | 'ringCatalogueId' | 'planRevision'>,
  surfaceCount: number | null,
): Step | null {
  if (planRevision > 0) return null;
  if (coverCount === 0)
    return {
      sentence: 'First the register of castings: where they are, their seats and frames.',
      page: 'surveys',
      word: 'Add the register',
    };
  if (surfaceCount === null) return null;
  if (surfaceCount === 0)
    return {
      sentence: 'Next a survey or a design: where the finished surface ends.',
      page: 'surveys',
      word: 'Add a survey',
    };
  if (ringCatalogueId === null)
    return { sentence: 'Next the rings that stacks are made of.', page: 'rings', word: 'Name the rings' };
  return { sentence: 'All is here that a first plan needs.', page: null, word: 'Plan' };
}

/** The one thing to do next on the way to a first plan. */
export function NextStep({ project }: { project: Project }) {
  const step = nextStep(project, surfaces.value.value?.length ?? null);
  if (!step) return null;
  const { sentence, page, word } = step;
  return (
    <p class="next-step">
      <b>{sentence}</b>{' '}
      {page === null ? (
        <PlanAgain word={word} isWanted />
      ) : (
        <button type="button" class="link" onClick={() => openPage(page)}>
          {word}
        </button>
      )}
    </p>
  );
}

function openPage(page: Page): void {
  show({ page, import: null });
  if (page === 'surveys') requestAnimationFrame(() => document.querySelector<HTMLElement>('#files')?.focus());
}
