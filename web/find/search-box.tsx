import type { FoundStructure, SearchResult } from '#shared/search.ts';
import { announcement, noFilter, project, projects, show, view } from '../state.ts';
import { kindWords } from '../words.ts';
import { type Choice, Combobox } from './combobox.tsx';

/** Over the whole register: narrows the table while one types, and leads to a cover, a street or an owner. */
export function SearchBox() {
  return (
    <Combobox
      id="search"
      label="Search covers, streets and owners"
      placeholder="Search cover, street, owner"
      nothing={(text) => `Nothing in the register has "${text}".`}
      listLabel="Found in the register"
      text={view.value.search}
      onText={(search) => show({ search }, 'replace')}
      choicesOf={choicesOf}
    />
  );
}

function choicesOf({ structures, streets, owners }: SearchResult): Choice[] {
  return [
    ...structures.map(structureChoice),
    ...streets.map(({ name, structures: count }) => ({
      key: `street ${name}`,
      word: name,
      note: `street, ${count} in the register`,
      run: () => show({ search: '', only: { ...view.peek().only, street: name }, street: name }),
    })),
    ...owners.map(({ name, structures: count }) => ({
      key: `owner ${name}`,
      word: name,
      note: `owner, ${count} in the register`,
      run: () => show({ search: '', only: { ...view.peek().only, owner: name } }),
    })),
  ];
}

function structureChoice(found: FoundStructure): Choice {
  const now = project.peek()?.id ?? '';
  const other = otherProjectOf(found);
  const where = found.projects.includes(now)
    ? null
    : other === null
      ? 'in no project'
      : `in ${(projects.peek().value ?? []).find(({ id }) => id === other)?.name ?? other}`;
  const note = [kindWords(found.kind), found.street, found.owner, where].filter(Boolean).join(', ');
  return { key: `cover ${found.id}`, word: found.id, note, run: () => goTo(found, other) };
}

/** The project to open it in where this one does not have it; null where this one has, or none. */
export const otherProjectOf = ({ projects: of }: FoundStructure): string | null =>
  of.includes(project.peek()?.id ?? '') ? null : (of[0] ?? null);

/** Opens the card in this project, else in the one it belongs to; one of no project is shown on the map. */
export function goTo(found: FoundStructure, other: string | null): void {
  const at = { longitude: found.lon, latitude: found.lat, zoom: 18 };
  if (other !== null)
    show({
      page: 'map',
      project: other,
      cover: found.id,
      ...noFilter,
      street: null,
      at,
    });
  else if (found.projects.length > 0) show({ page: 'map', cover: found.id, search: '', at });
  else {
    show({ page: 'map', search: '', cover: null, at });
    announcement.value = `${found.id} is in no project; the map shows where it lies.`;
  }
}
