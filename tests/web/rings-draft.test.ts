import { describe, expect, it } from 'vitest';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import {
  catalogueOfDraft,
  draftOf,
  draftOfFile,
  emptyDraft,
  fileOfDraft,
  toCore,
} from '../../web/rings/draft.ts';
import { nextStep } from '../../web/views/next-step.tsx';

const catalogue: RingCatalogue = {
  id: 'yard',
  name: 'Yard',
  unit: 'in',
  indexPositions: 24,
  indexFrom: 'road',
  maxRings: 5,
  maxChimneyM: 12 * 0.0254,
  joint: { baseM: 0.00254, betweenM: 0.00254, topM: 0 },
  rings: [
    { id: 'F', thinM: 0.0381, thickM: 0.0381, outerDiameterM: 0.8636, maxPerStack: 2, cost: null },
    // 62 lb, exact.
    {
      id: 'H',
      thinM: 0.0762,
      thickM: 0.0762,
      outerDiameterM: 0.8636,
      maxPerStack: 2,
      cost: null,
      massKg: 62 * 0.45359237,
    },
    { id: 'T', thinM: 0.0127, thickM: 0.0381, outerDiameterM: 0.8636, maxPerStack: 1, cost: 44.5 },
  ],
};

/** Metres to the nanometre: inches are no round binary numbers. */
const rounded = (value: unknown) =>
  JSON.parse(JSON.stringify(value, (_, one) => (typeof one === 'number' ? Number(one.toFixed(9)) : one)));

describe('a ring catalogue in fields', () => {
  it('comes back as it was stored', () => {
    expect(rounded(catalogueOfDraft(draftOf(toCore(catalogue), 'Yard'), 'yard'))).toEqual(rounded(catalogue));
  });

  it('goes to a file and back', () => {
    const draft = draftOf(toCore(catalogue), 'Yard');
    expect(draftOfFile(JSON.stringify(fileOfDraft(draft)), 'Yard.json')).toEqual(draft);
    expect(draftOfFile('{', 'broken.json')).toEqual(['broken.json is no JSON.']);
  });

  it('has weights in pounds beside inches and masses in kilograms beside millimetres', () => {
    const draft = draftOf(toCore(catalogue), 'Yard');
    expect(draft.rings.map(({ mass }) => mass)).toEqual(['', '62', '']);
    const metric = { ...draft, unit: 'mm' as const, rings: [{ ...draft.rings[1], mass: '28' }] };
    expect((catalogueOfDraft(metric, 'yard') as RingCatalogue).rings[0].massKg).toBe(28);
    const wrong = { ...draft, rings: [{ ...draft.rings[1], mass: '-1' }] };
    expect((catalogueOfDraft(wrong, 'yard') as string[]).join()).toMatch(/weightLb "-1": must be above 0/);
  });

  it('reads fractions, and a blank thick side as a flat ring', () => {
    const draft = draftOf(toCore(catalogue), 'Yard');
    const [first] = draft.rings;
    const read = catalogueOfDraft({ ...draft, rings: [{ ...first, thin: '1 1/2', thick: '' }] }, 'yard');
    expect(rounded((read as RingCatalogue).rings[0])).toMatchObject({ thinM: 0.0381, thickM: 0.0381 });
  });

  it('names everything that is missing or wrong', () => {
    const wrong = catalogueOfDraft(emptyDraft('mm'), 'x') as string[];
    expect(wrong[0]).toMatch(/needs a name/);
    expect(wrong.join('\n')).toMatch(/maxRings: missing/);
    const draft = draftOf(toCore(catalogue), 'Yard');
    const twice = catalogueOfDraft({ ...draft, rings: [draft.rings[0], draft.rings[0]] }, 'x') as string[];
    expect(twice.join()).toMatch(/second ring of this id/);
  });
});

it('the next step of a new project is register, survey, rings, plan; then none', () => {
  const project = { coverCount: 0, ringCatalogueId: null, planRevision: 0 };
  expect(nextStep(project, 0)?.word).toBe('Add the register');
  expect(nextStep({ ...project, coverCount: 4 }, null)).toBeNull();
  expect(nextStep({ ...project, coverCount: 4 }, 0)?.word).toBe('Add a survey');
  expect(nextStep({ ...project, coverCount: 4 }, 1)?.word).toBe('Name the rings');
  expect(nextStep({ ...project, coverCount: 4, ringCatalogueId: 'a' }, 1)?.page).toBeNull();
  expect(nextStep({ coverCount: 4, ringCatalogueId: 'a', planRevision: 1 }, 1)).toBeNull();
});
