import { epsgOfReference } from '../crs/statement.ts';
import { shorten } from './problemLog.ts';
import type { CrsStatement } from './types.ts';

/**
 * The `crs` member of the 2008 GeoJSON specification (section 3), as JSON text. RFC 7946 dropped it, but files that
 * carry it mean it. A linked definition is named, never fetched.
 */
export function crsOfMember(json: string): CrsStatement {
  const text = referenceOf(json);
  return { epsg: epsgOfReference(text), text: shorten(text, 2000), from: 'crs member' };
}

function referenceOf(json: string): string {
  const value: unknown = parse(json);
  if (typeof value === 'string') return value;
  if (value === null || typeof value !== 'object') return json.trim();
  const { type, properties } = value as { type?: unknown; properties?: unknown };
  if (properties === null || typeof properties !== 'object') return json.trim();
  const { name, href, code } = properties as Record<string, unknown>;
  if (typeof name === 'string') return name;
  if (typeof href === 'string') return href;
  if (/^epsg$/i.test(String(type)) && Number.isInteger(Number(code))) return `EPSG:${code}`;
  return json.trim();
}

function parse(json: string): unknown {
  try {
    return JSON.parse(json);
  } catch {
    return null;
  }
}
