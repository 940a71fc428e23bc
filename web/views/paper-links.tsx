import { project, view } from '../state.ts';

/** Address of a document of the project that is open. */
export function paperAddress({ agencyId, id }: { agencyId: string; id: string }, ...path: string[]): string {
  return `/api/agencies/${encodeURIComponent(agencyId)}/projects/${encodeURIComponent(id)}/${path.map(encodeURIComponent).join('/')}`;
}

/** The cover on one page, to take to the hole. */
export function SheetLink({ cover }: { cover: string }) {
  const now = project.value;
  if (!now) return null;
  return (
    <p class="paper-links">
      <a href={paperAddress(now, 'covers', cover, 'sheet.pdf')} target="_blank" rel="noopener">
        Crew sheet (PDF)
      </a>
    </p>
  );
}

/** List and sheets of the night that the covers are held to. */
export function NightLinks() {
  const now = project.value;
  const { night, crew } = view.value.only;
  if (!now || night === undefined) return null;
  const query = crew === undefined ? '' : `?${new URLSearchParams({ crew })}`;
  const address = (file: string) => `${paperAddress(now, 'nights', night || 'none', file)}${query}`;
  return (
    <span class="paper-links">
      <a href={address('list.pdf')} target="_blank" rel="noopener">
        List (PDF)
      </a>{' '}
      <a href={address('sheets.pdf')} target="_blank" rel="noopener">
        Crew sheets (PDF)
      </a>{' '}
      <a href="/crew" target="_blank" rel="noopener">
        Crew page
      </a>
    </span>
  );
}

/** What was measured and accepted along a street. */
export function PackLink({ street }: { street: string }) {
  const now = project.value;
  if (!now) return null;
  const address = `${paperAddress(now, 'acceptance.pdf')}?${new URLSearchParams({ street })}`;
  return (
    <span class="paper-links">
      <a href={address} target="_blank" rel="noopener">
        Acceptance pack (PDF)
      </a>
    </span>
  );
}
