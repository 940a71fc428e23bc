import { expect, it } from 'vitest';
import { momentText } from '../../server/paper/units.ts';
import { dayIn } from '../../server/site-limits.ts';

it('a time is printed in its zone with the summer time of its own day', () => {
  const inNewYork = { timeZone: 'America/New_York' };
  // Eastern time: UTC-4 in July, UTC-5 in November (IANA time zone database).
  expect(momentText('2026-07-01T02:30:00Z', inNewYork)).toBe('30 Jun 2026 22:30 GMT-4');
  expect(momentText('2026-11-25T14:02:00Z', inNewYork)).toBe('25 Nov 2026 09:02 GMT-5');
  expect(momentText('2026-11-25T14:02:00Z', { timeZone: 'UTC' })).toBe('25 Nov 2026 14:02 UTC');
});

it('a day is that of the zone: what ends after midnight in London is of the evening in New York', () => {
  expect(dayIn('America/New_York', '2026-11-26T03:00:00.000Z')).toBe('2026-11-25');
  expect(dayIn('Europe/London', '2026-11-26T03:00:00.000Z')).toBe('2026-11-26');
});
