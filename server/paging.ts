import { badField } from './http-problem.ts';

/** Where a page ended, as opaque text for the address of the next one. */
export function encodeKey(key: readonly (string | number)[]): string {
  return Buffer.from(JSON.stringify(key)).toString('base64url');
}

/** Throws a problem naming `after` for a text that encodeKey did not make. */
export function decodeKey<const Key extends readonly ('string' | 'number')[]>(
  text: string,
  types: Key,
): { [Index in keyof Key]: Key[Index] extends 'string' ? string : number } {
  let key: unknown = null;
  try {
    key = JSON.parse(Buffer.from(text, 'base64url').toString('utf8'));
  } catch {
    key = null;
  }
  const fits =
    Array.isArray(key) &&
    key.length === types.length &&
    key.every((part, index) => typeof part === types[index] && !String(part).includes('\0'));
  if (!fits) throw badField('/after', 'is not a place that a page ended at; take it from `next`', text);
  return key as never;
}

/** Address of the page after this one, with every other parameter kept; null on the last page. */
export function nextAddress(url: string, key: readonly (string | number)[] | null): string | null {
  if (key === null) return null;
  const [path, query = ''] = url.split('?');
  const parameters = new URLSearchParams(query);
  parameters.set('after', encodeKey(key));
  return `${path}?${parameters}`;
}
