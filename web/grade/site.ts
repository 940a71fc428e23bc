import { readDecimal } from '#core/units/decimal.ts';
import { kilogramsPerPound } from '#core/units/mass.ts';
import type { Typed } from './lengths.ts';

const most = 200;

/** `50 lb`, `23 kg`; a bare number is pounds beside inches and kilograms beside millimetres. Kilograms. */
export function readMass(text: string, lengthUnit: 'in' | 'mm'): Typed<number> {
  const [, figure, named] = /^\s*([\d.,]+)\s*(kg|lb)?\s*$/i.exec(text) ?? [];
  const number = figure === undefined ? Number.NaN : readDecimal(figure.replace(',', '.'));
  if (Number.isNaN(number)) return { fault: 'A mass is a number, with kg or lb where it may be either.' };
  const unit = named?.toLowerCase() ?? (lengthUnit === 'in' ? 'lb' : 'kg');
  const value = unit === 'lb' ? number * kilogramsPerPound : number;
  if (value <= 0) return { fault: 'A mass is more than nothing.' };
  return value > most ? { fault: `At most ${most} kg.` } : { value };
}

/** A name of the IANA time zone database. */
export function readZone(text: string): Typed<string> {
  const value = text.trim();
  const fault = `"${value}" is no time zone: write its name as America/New_York or Europe/London.`;
  if (!/^[A-Za-z]/.test(value)) return { fault };
  try {
    new Intl.DateTimeFormat('en', { timeZone: value });
    return { value };
  } catch {
    return { fault };
  }
}
