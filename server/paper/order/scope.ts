import { statusCodes, statusOf } from '#shared/status.ts';
import type { TakeoffQuery } from '#shared/takeoff.ts';
import { dayText } from '../units.ts';
import { kindWords } from '../words.ts';

/** Of which covers a list is: `All covers.`, `Only of the night Tue 4 May 2027, crew North.` */
export function scopeWords(filter: Omit<TakeoffQuery, 'by'>): string {
  const { status, q, kind, owner, street, crew, night, conflict, polygon } = filter;
  const parts = [
    street && `street ${street}`,
    night !== undefined && (night === '' ? 'no night' : `the night ${dayText(night)}`),
    crew !== undefined && (crew === '' ? 'no crew' : `crew ${crew}`),
    status && `status ${status.split(',').map(statusWord).join(' or ')}`,
    kind && `kind ${kindWords(kind).toLowerCase()}`,
    owner && `owner ${owner}`,
    q && `"${q}" in id, street or owner`,
    conflict && (conflict === 'yes' ? 'records that contradict each other' : 'no contradictions'),
    polygon && 'a drawn area',
  ].filter(Boolean);
  return parts.length === 0 ? 'All covers.' : `Only of ${parts.join(', ')}.`;
}

function statusWord(code: string): string {
  const known: readonly string[] = statusCodes;
  return known.includes(code) ? statusOf(code).word.toLowerCase() : 'not planned';
}
