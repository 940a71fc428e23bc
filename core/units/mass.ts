/** The international avoirdupois pound, exact (international yard and pound agreement, 1959). */
export const kilogramsPerPound = 0.45359237;

/** A mass as people of a length unit read it: `28 kg`, `62 lb`; to the nearest whole one, upward from a half. */
export function formatMass(kilograms: number, lengthUnit: 'in' | 'mm'): string {
  return lengthUnit === 'mm'
    ? `${Math.round(kilograms)} kg`
    : `${Math.round(kilograms / kilogramsPerPound)} lb`;
}
