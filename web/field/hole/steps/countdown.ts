/** Milliseconds until it may be used; 0 once it may. */
export function cureLeft(pouredAt: string, cureHours: number, now: number): number {
  return Math.max(0, Date.parse(pouredAt) + cureHours * 3_600_000 - now);
}

/** `71:59:30`: hours, minutes and seconds. */
export function countdown(milliseconds: number): string {
  const seconds = Math.ceil(milliseconds / 1000);
  const two = (value: number) => String(value).padStart(2, '0');
  return `${Math.floor(seconds / 3600)}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`;
}
