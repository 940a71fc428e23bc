import { computed, signal } from '@preact/signals';

/** `#/ID` is a cover, `#conflicts/ID` what phones disagree about there, `#plates` all open plates, `#map` and `#map/ID` the map; else the list. */
const hash = signal('');

export type CrewPart = 'list' | 'cover' | 'conflicts' | 'plates' | 'map';

export const address = computed<{ part: CrewPart; id: string | null }>(() => {
  const [head, ...rest] = hash.value.replace(/^#/, '').split('/');
  const text = rest.join('/');
  if (head === 'plates') return { part: 'plates', id: null };
  const id = text === '' ? null : decodeURIComponent(text);
  if (head === 'map') return { part: 'map', id };
  if (id === null) return { part: 'list', id };
  return { part: head === 'conflicts' ? 'conflicts' : 'cover', id };
});

export const coverAddress = (id: string) => `#/${encodeURIComponent(id)}`;
export const conflictsAddress = (id: string) => `#conflicts/${encodeURIComponent(id)}`;

export function followAddress(): void {
  const follow = () => {
    hash.value = location.hash;
  };
  addEventListener('hashchange', () => {
    follow();
    scrollTo(0, 0);
  });
  follow();
}
