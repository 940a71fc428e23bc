import { computed, signal } from '@preact/signals';
import { stateOfCover } from '#core/field/coverState.ts';
import type { CoverCard } from '#shared/cover.ts';
import { address } from './address.ts';
import { all, get, type Picture, put, type StoredNight, type Waiting } from './database.ts';
import { acceptedBy } from './hole/limits.ts';
import type { CoverRecord } from './hole/types.ts';
import type { CoverAtHole } from './types.ts';

export const nights = signal<StoredNight[]>([]);
export const nightKey = signal<string | null>(null);
export const outbox = signal<Waiting[]>([]);
export const pictures = signal<Picture[]>([]);
export const me = signal<{ name: string; device: string }>({ name: '', device: '' });
export const isRead = signal(false);

export const night = computed(() => nights.value.find(({ key }) => key === nightKey.value) ?? null);

export const covers = computed<CoverAtHole[]>(() => (night.value ? coversOf(night.value) : []));

/** The cover marked on the map in `#map/{cover}`. */
export const mapped = computed(() => (address.value.part === 'map' ? address.value.id : null));

function coversOf({ agency, bundle, builtTo }: StoredNight): CoverAtHole[] {
  const own = outbox.value
    .filter(({ project, agency: one }) => project === bundle.project.id && one === agency)
    .map(({ record }) => record);
  const received = new Set(bundle.records.map(({ id }) => id));
  const waiting = own.filter(({ id }) => !received.has(id));
  return bundle.cards.map((card, index) => {
    const here = ({ structureId }: { structureId: string }) => structureId === card.structure.id;
    const records: CoverRecord[] = [...bundle.records.filter(here), ...waiting.filter(here)];
    const before = builtTo?.[card.structure.id] ?? null;
    return { card, builtTo: before, records, position: index + 1, ...stateOf(card, records) };
  });
}

/** Plates over openings, of all nights on this phone; a cover that stands in two nights once. */
export const openPlates = computed(() => {
  const seen = new Set<string>();
  return nights.value.flatMap((stored) =>
    coversOf(stored).flatMap(({ card, plates }) =>
      plates
        .filter(({ record: { id } }) => !seen.has(id) && seen.add(id))
        .map((plate) => ({ night: stored, id: card.structure.id, plate })),
    ),
  );
});

function stateOf(card: CoverCard, records: readonly CoverRecord[]) {
  const sent = card.fieldStatus !== null;
  const { status, plates, conflicts } = stateOfCover(records, { sent, limits: acceptedBy(card) });
  return { status: status ?? card.fieldStatus ?? card.plan?.status ?? null, plates, conflicts };
}

export const cover = computed(
  () => covers.value.find(({ card }) => card.structure.id === address.value.id) ?? null,
);

/** Reads all that is on the phone. */
export async function readPhone(): Promise<void> {
  const [name, device, last] = await Promise.all(
    ['name', 'device', 'night'].map(async (key) => (await get('settings', key))?.value ?? ''),
  );
  me.value = { name, device: device || crypto.randomUUID() };
  if (!device) await put('settings', { key: 'device', value: me.value.device });
  await readAgain();
  nightKey.value = last || null;
  isRead.value = true;
}

/** What another tab may have changed. */
export async function readAgain(): Promise<void> {
  [nights.value, outbox.value, pictures.value] = await Promise.all([
    all('nights'),
    all('outbox'),
    all('pictures'),
  ]);
}

export async function call(name: string): Promise<void> {
  await put('settings', { key: 'name', value: name });
  me.value = { ...me.value, name };
}

export async function choose(key: string | null): Promise<void> {
  await put('settings', { key: 'night', value: key ?? '' });
  nightKey.value = key;
  location.hash = '';
}
