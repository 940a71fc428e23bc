import type { LimitSource, Limits } from '#shared/policy.ts';
import type { SiteChoice } from '#shared/site-limits.ts';
import { badField } from './http-problem.ts';

/** The zone of the machine that the server runs on. */
const serverZone = (): string => new Intl.DateTimeFormat().resolvedOptions().timeZone;

/** Common practice; the load constant of the NIOSH lifting equation (Waters and others 1993), from memory. */
const usualTwoPersonsKg = 23;

/** What paper and phone tell people by, each with whose it is. */
export function siteInForce({ agency, project }: { agency: SiteChoice; project: SiteChoice }) {
  const choose = <Name extends keyof SiteChoice>(name: Name, usual: NonNullable<SiteChoice[Name]>) => {
    const from: LimitSource = project[name] != null ? 'project' : agency[name] != null ? 'agency' : 'default';
    return { value: (project[name] ?? agency[name] ?? usual) as NonNullable<SiteChoice[Name]>, from };
  };
  return {
    timeZone: choose('timeZone', serverZone()),
    twoPersonsKg: choose('twoPersonsKg', usualTwoPersonsKg),
  } satisfies Partial<Limits>;
}

/** The day that it is in a zone at a moment (ISO 8601): YYYY-MM-DD. */
export function dayIn(timeZone: string, moment: string): string {
  const parts = new Intl.DateTimeFormat('en', {
    timeZone,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
  }).formatToParts(new Date(moment));
  const part = (name: string) => parts.find(({ type }) => type === name)!.value;
  return `${part('year')}-${part('month')}-${part('day')}`;
}

/** @throws HttpProblem 400 for a name that the time zone database does not have. */
export function checkZone({ timeZone }: SiteChoice = {}): void {
  if (timeZone == null || isZone(timeZone)) return;
  throw badField('/policy/timeZone', 'is no time zone of the IANA database', timeZone);
}

function isZone(name: string): boolean {
  // Offsets such as +05:00 are taken by some engines, and know no summer time.
  if (!/^[A-Za-z]/.test(name)) return false;
  try {
    return new Intl.DateTimeFormat('en', { timeZone: name }).resolvedOptions().timeZone !== '';
  } catch (error) {
    if (error instanceof RangeError) return false;
    throw error;
  }
}
