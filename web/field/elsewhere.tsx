import { key } from '../api.ts';
import type { StoredNight } from './database.ts';

/** The night's list as a document to print. */
export function listAddress({ agency, bundle: { project, night, crew } }: StoredNight): string {
  const path = `/api/agencies/${key(agency)}/projects/${key(project.id)}/nights/${night ?? 'none'}/list.pdf`;
  return `${path}?${new URLSearchParams({ crew: crew ?? '' })}`;
}

export function DeskLink() {
  return (
    <a class="crew-button" href="/" target="_blank" rel="noopener">
      The desk: map and table
    </a>
  );
}
