import Type from 'typebox';
import type { Agency } from '#shared/agency.ts';
import { ProblemDetails } from '#shared/problem.ts';
import { exact } from '#shared/schema.ts';
import type { AppContext } from '../context.ts';
import { HttpProblem, notFound } from '../http-problem.ts';
import { findAgency } from '../store/agencies.ts';
import { ProjectBeingDeleted } from '../store/plans.ts';
import { findProjectHead, type ProjectHead } from '../store/projects.ts';

const key = Type.String({ minLength: 1, maxLength: 200 });

export const AgencyParams = exact({ agency: key });
export const ProjectParams = exact({ agency: key, project: key });
export const NoQuery = exact({});

/** Every route may answer with a problem. */
export const problems = { '4xx': ProblemDetails, '5xx': ProblemDetails };

/** Throws 404 where there is no such agency: nothing below it is looked up then. */
export async function requireAgency({ database }: AppContext, id: string): Promise<Agency> {
  const agency = await findAgency(database.kysely, id);
  if (!agency) throw notFound(`agency "${id}"`);
  return agency;
}

/** A project that is not being deleted: of one that is, nothing is read or changed any more. */
export async function requireProject(
  context: AppContext,
  params: { agency: string; project: string },
): Promise<ProjectHead> {
  const found = await requireAnyProject(context, params);
  if (found.isBeingDeleted) throw new ProjectBeingDeleted(found.id);
  return found;
}

export async function requireAnyProject(
  { database }: AppContext,
  { agency, project }: { agency: string; project: string },
): Promise<ProjectHead> {
  const found = await findProjectHead(database.kysely, agency, project);
  if (!found) throw notFound(`project "${project}" of agency "${agency}"`);
  return found;
}

export function etagOf(version: number | string): string {
  return `"${version}"`;
}

/** A change names the version that it was made from, so that nobody's work is overwritten unseen. */
export function checkIfMatch(header: string | undefined, version: number | string): void {
  if (header === undefined) {
    throw new HttpProblem(428, 'Send If-Match with the ETag of the version that the change was made from.');
  }
  const tags = header.split(',').map((tag) => tag.trim());
  if (!tags.includes('*') && !tags.includes(etagOf(version))) throw changedMeanwhile();
}

export function changedMeanwhile(): HttpProblem {
  return new HttpProblem(412, 'Somebody changed this meanwhile: read it again, then make the change.');
}
