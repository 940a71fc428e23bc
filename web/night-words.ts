const day = new Intl.DateTimeFormat('en-GB', {
  weekday: 'short',
  day: 'numeric',
  month: 'short',
  timeZone: 'UTC',
});

/** `Wed 25 Nov` for YYYY-MM-DD. */
export const nightText = (night: string | null): string =>
  night === null ? 'No night' : day.format(new Date(`${night}T00:00:00Z`)).replace(',', '');
