const dayMs = 86_400_000;

/**
 * The moment some hours after one of ISO 8601, in UTC with milliseconds; null where that is none of the calendar of the
 * years 0 to 9999.
 */
export function hoursAfter(moment: string, hours: number): string | null {
  const at = Date.parse(moment) + Math.round(hours * 3_600_000);
  const days = Math.floor(at / dayMs);
  const [year, month, day] = civilFromDays(days);
  if (!(year >= 0 && year <= 9999)) return null;
  const rest = at - days * dayMs;
  const part = (size: number, count: number, width = 2) =>
    String(Math.floor(rest / size) % count).padStart(width, '0');
  const two = (value: number) => String(value).padStart(2, '0');
  const time = `${part(3_600_000, 24)}:${part(60_000, 60)}:${part(1000, 60)}.${part(1, 1000, 3)}`;
  return `${String(year).padStart(4, '0')}-${two(month)}-${two(day)}T${time}Z`;
}

/**
 * Year, month and day of a count of days since 1970-01-01 in the Gregorian calendar. Years are counted from March, so
 * that the leap day is the last of its year (H. Hinnant, "chrono-Compatible Low-Level Date Algorithms", from memory).
 */
function civilFromDays(days: number): [year: number, month: number, day: number] {
  const shifted = days + 719_468;
  const era = Math.floor(shifted / 146_097);
  const ofEra = shifted - era * 146_097;
  const yearOfEra = Math.floor(
    (ofEra - Math.floor(ofEra / 1460) + Math.floor(ofEra / 36_524) - Math.floor(ofEra / 146_096)) / 365,
  );
  const ofYear = ofEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const fromMarch = Math.floor((5 * ofYear + 2) / 153);
  const month = fromMarch < 10 ? fromMarch + 3 : fromMarch - 9;
  const day = ofYear - Math.floor((153 * fromMarch + 2) / 5) + 1;
  return [yearOfEra + era * 400 + (month <= 2 ? 1 : 0), month, day];
}
