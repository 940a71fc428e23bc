import {
  type ElevationUnit,
  formatDistance,
  formatFeetAndInches,
  formatSmall,
  type SmallLengthStyle,
} from '#core/units/format.ts';
import { fractionText, fromFraction, toFraction } from '#core/units/fraction.ts';
import { fromMetres } from '#core/units/length.ts';
import type { Project } from '#shared/project.ts';

/** How a crew reads lengths on paper: inches as fractions, or whole millimetres. */
export interface PaperUnits {
  small: SmallLengthStyle;
  smallUnit: 'in' | 'mm';
  elevation: ElevationUnit;
  /** By which times are printed; a name of the IANA database. */
  timeZone: string;
}

export function paperUnits({
  displayUnit,
  elevationUnit,
  limits,
}: Pick<Project, 'displayUnit' | 'elevationUnit' | 'limits'>): PaperUnits {
  return {
    small: displayUnit === 'mm' ? 'millimetres' : 'fractionInches',
    smallUnit: displayUnit,
    elevation: elevationUnit,
    timeZone: limits.timeZone.value,
  };
}

/** Fractions with the sign that fonts build them from. */
export function withFractions(text: string): string {
  return text.replace(/(\d)\/(\d)/g, '$1⁄$2');
}

/** `2 3⁄8 in` or `60 mm`. */
export function small(metres: number, units: PaperUnits): string {
  return withFractions(formatSmall(metres, units.small));
}

/** Without its unit: `13 7⁄8`, `352`. */
export function smallSize(metres: number, units: PaperUnits): string {
  return small(metres, units).replace(/ (in|mm)$/, '');
}

/** A size as its maker writes it: a fraction where it is one to 1/16, else decimals; whole mm; no unit. */
export function nominalSize(metres: number, unit: 'in' | 'mm'): string {
  const size = fromMetres(metres, unit);
  if (unit === 'mm') return String(Number((size + 1e-9).toFixed(1)));
  const off = Math.abs(fromFraction(toFraction(size)) - size);
  return off > 0.001 ? String(Number(size.toFixed(3))) : withFractions(fractionText(size));
}

export function nominal(metres: number, { smallUnit }: PaperUnits): string {
  return `${nominalSize(metres, smallUnit)} ${smallUnit}`;
}

/** A tape on the ground: `18 ft 4 in` to the half inch, or `5.59 m`. */
export function tape(metres: number, units: PaperUnits): string {
  if (units.smallUnit === 'mm') return formatDistance(metres, 'm', 2);
  return withFractions(formatFeetAndInches(metres, 2));
}

const moments = new Map<string, Intl.DateTimeFormat>();

function momentIn(timeZone: string): Intl.DateTimeFormat {
  const known = moments.get(timeZone);
  if (known) return known;
  const made = new Intl.DateTimeFormat('en-GB', {
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
    timeZoneName: 'short',
    timeZone,
  });
  moments.set(timeZone, made);
  return made;
}

/** `25 Nov 2026 14:02 UTC`, with how the zone stands to UTC at that time. */
export function momentText(at: string | Date, { timeZone }: Pick<PaperUnits, 'timeZone'>): string {
  const text = momentIn(timeZone).format(typeof at === 'string' ? new Date(at) : at);
  return text.replace(',', '');
}

const day = new Intl.DateTimeFormat('en-GB', {
  weekday: 'short',
  day: 'numeric',
  month: 'short',
  year: 'numeric',
  timeZone: 'UTC',
});

/** `Wed 25 Nov 2026` of YYYY-MM-DD. */
export function dayText(date: string): string {
  return day.format(new Date(`${date}T00:00:00Z`)).replace(',', '');
}
