import { type StatusCode, statusOf } from '#shared/status.ts';
import type { HistoryEvent } from '#shared/structure.ts';
import { recordWords } from '../field/record-words.ts';
import { sayFacts } from '../field/say-facts.ts';
import type { Units } from '../units.ts';
import { fieldOf, say } from './fields.ts';

/** `rimElevationM` as `rim elevation`. */
const plainWords = (field: string) =>
  field
    .replace(/(M|Deg)$/, '')
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .toLowerCase();

const valueText = (value: unknown) =>
  value === null || value === undefined
    ? 'blank'
    : typeof value === 'object'
      ? JSON.stringify(value)
      : String(value);

/** `frame height 8.00 in to 7.00 in`: one changed field with its unit. */
function changeWords(key: string, was: unknown, is: unknown, units: Units): string[] {
  if (key === 'condition') {
    const [before, after] = [was, is] as Record<string, unknown>[];
    return Object.keys(after ?? {})
      .filter((part) => before?.[part] !== after[part])
      .flatMap((part) => changeWords(part, before?.[part], after[part], units));
  }
  const field = fieldOf(key);
  if (!field) return [`${plainWords(key)} ${valueText(was)} to ${valueText(is)}`];
  return [`${field.word.toLowerCase()} ${say(field, was, units)} to ${say(field, is, units)}`];
}

/** `Rim checked: rim at 12, 3, 6, 9: ..., by Ida Brook, 2 May, 14:02 by the device. Set to off grade.` */
function fieldWords(detail: HistoryEvent['detail'], units: Units): string {
  const { recordKind: kind, facts, by, deviceTime, fieldStatus } = detail as Record<string, never>;
  const what = recordWords(kind);
  const said = sayFacts({ kind, facts } as never, units);
  const values = said === what ? '' : `: ${said}`;
  const moved = fieldStatus as [StatusCode | null, StatusCode | null] | undefined;
  const word = (status: StatusCode | null) => (status ? statusOf(status).word : 'not sent out');
  const change = moved ? ` ${word(moved[0])} to ${word(moved[1]).toLowerCase()}.` : '';
  return `${what[0].toUpperCase()}${what.slice(1)}${values}, by ${by}, ${deviceText(deviceTime)} by the device.${change}`;
}

const device = new Intl.DateTimeFormat('en-GB', {
  day: 'numeric',
  month: 'short',
  hour: '2-digit',
  minute: '2-digit',
});
const deviceText = (at: string) => device.format(new Date(at));

/** What happened to a cover's register entry, in words. */
export function eventWords({ kind, detail }: HistoryEvent, units: Units): string {
  // Which project and which assignment it was are ids, for the undo and not for people.
  const { undoes, levelled, project, assignment, ...fields } = detail;
  const entries = Object.entries(fields);
  if (kind === 'created') return 'Entered in the register';
  if (kind === 'field') return fieldWords(detail, units);
  if (kind === 'note') return entries.map(([, value]) => valueText(value)).join(' ');
  const what = entries.flatMap(([key, value]) =>
    Array.isArray(value) && value.length === 2
      ? changeWords(key, value[0], value[1], units)
      : [`${plainWords(key)} ${valueText(value)}`],
  );
  const begin =
    undoes !== undefined
      ? 'Taken back'
      : levelled !== undefined
        ? `Levelled on ${levelled}`
        : kind === 'imported'
          ? 'Imported'
          : 'Changed';
  return `${begin}${what.length > 0 ? `: ${what.join(', ')}` : ''}`;
}
