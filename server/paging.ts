import { badField } from './http-problem.ts';

/** Where a page ended, as opaque text for the address of the next one. */
export function encodeKey(key: readonly (string | number)[]): string {
  return Buffer.from(JSON.stringify(key)).toString('base64url');
}

/** Throws a problem naming `path` for a text that encodeKey did not make. */
export function decodeKey<const Key extends readonly ('string' | 'number')[]>(
  text: string,
  types: Key,
  path = '/after',
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
  if (!fits) throw badField(path, 'is not a place that a page ended at; take it from `next`', text);
  return key as never;
}

/** Address of the page after this one, with every other parameter kept; null on the last page. */
export const nextAddress = (url: string, key: readonly (string | number)[] | null): string | null =>
  pageAddress(url, 'after', key);

/** Address of the page that ends before a place, with every other parameter kept; null where there is none. */
export const previousAddress = (url: string, key: readonly (string | number)[] | null): string | null =>
  pageAddress(url, 'before', key);

/** What says where a page begins or ends; an address has one of them. */
const places = ['after', 'before', 'at'];

function pageAddress(
  url: string,
  name: 'after' | 'before',
  key: readonly (string | number)[] | null,
): string | null {
  if (key === null) return null;
  const [path, query = ''] = url.split('?');
  const parameters = new URLSearchParams(query);
  for (const each of places) parameters.delete(each);
  parameters.set(name, encodeKey(key));
  return `${path}?${parameters}`;
}
