import type { ProjectHoldings } from '#shared/project.ts';

const counted = (count: number, one: string, many = `${one}s`) =>
  `${count.toLocaleString('en')} ${count === 1 ? one : many}`;

/** What goes with a project, by its counts. */
export function lossWords(held: ProjectHoldings): string {
  const parts = [
    held.surfaces > 0 || held.shots > 0
      ? `${counted(held.surfaces, 'surface')} with ${counted(held.shots, 'shot')}`
      : '',
    held.lines > 0 ? counted(held.lines, 'line') : '',
    held.treatmentZones > 0 ? counted(held.treatmentZones, 'treatment zone') : '',
    held.plans > 0
      ? `${counted(held.plans, 'plan')} with ${held.plans === 1 ? 'its' : 'their'} decisions and stacks`
      : '',
    held.assignments > 0 ? `${counted(held.assignments, 'assignment')} of crews and nights` : '',
    held.imports > 0 ? `the history of ${counted(held.imports, 'file')}, which cannot be undone then` : '',
  ].filter(Boolean);
  const covers =
    held.covers === 0
      ? ''
      : ` ${held.covers === 1 ? 'Its cover stays' : `Its ${counted(held.covers, 'cover')} stay`} in the register.`;
  if (parts.length === 0) return `It holds nothing else.${covers}`;
  const list = new Intl.ListFormat('en', { type: 'conjunction' }).format(parts);
  return `With it ${parts.length === 1 && /^1 /.test(parts[0]) ? 'goes' : 'go'} ${list}. Nothing brings them back.${covers}`;
}

/** What crews lose; blank where none may have it. */
export const nightWords = ({ coversWithNight: count }: ProjectHoldings): string =>
  count === 0
    ? ''
    : `${counted(count, 'cover')} ${count === 1 ? 'has a night' : 'have a night'}: a phone that holds them can send nothing of them any more.`;

/** Why it cannot be deleted, as the server says it; null where it can. */
export function hindranceWords({ fieldRecords: count }: ProjectHoldings): string | null {
  if (count === 0) return null;
  const [many, they] = count === 1 ? ['1 record', 'It stays'] : [counted(count, 'record'), 'They stay'];
  return `It has ${many} from the field. ${they} as evidence of what was built, and so does the project.`;
}
