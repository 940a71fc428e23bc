import type { AnyMade } from '#core/field/facts.ts';
import type { CoverCard } from '#shared/cover.ts';
import type { CrewNight } from '#shared/crew-night.ts';

/** What the phone keeps. A night holds what the server gave; own records wait in the outbox until it has them. */
export interface StoredNight {
  key: string;
  agency: string;
  bundle: CrewNight;
  /** By which the server says that nothing is newer. */
  tag?: string | null;
  /** Cards as they were when work was done by them, of covers that have got another plan since. */
  builtTo?: Record<string, CoverCard>;
}

export interface Waiting {
  /** The order in which they were made. */
  number: number;
  agency: string;
  project: string;
  night: string;
  record: AnyMade;
  /** Why the server would not take it; it stays here all the same. */
  refused: string | null;
}

export interface Picture {
  sha256: string;
  agency: string;
  blob: Blob;
  isSent: boolean;
}

interface Shelves {
  nights: StoredNight;
  outbox: Waiting;
  pictures: Picture;
  settings: { key: string; value: string };
}
type Shelf = keyof Shelves;

const name = 'rimplane-crew';
const version = 1;

/** The message that people read where the phone takes no more. */
export const full =
  'The phone has no room left. Nothing was dropped: free some space, then record this again.';

let opened: Promise<IDBDatabase> | null = null;

function open(): Promise<IDBDatabase> {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(name, version);
    request.onupgradeneeded = () => {
      const { result } = request;
      result.createObjectStore('nights', { keyPath: 'key' });
      result.createObjectStore('outbox', { keyPath: 'number', autoIncrement: true });
      result.createObjectStore('pictures', { keyPath: 'sha256' });
      result.createObjectStore('settings', { keyPath: 'key' });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  return opened;
}

/** Resolves once the change is on the phone's disk, not merely asked for. */
async function change(shelf: Shelf, act: (store: IDBObjectStore) => void): Promise<void> {
  const database = await open();
  return new Promise((resolve, reject) => {
    const transaction = database.transaction(shelf, 'readwrite', { durability: 'strict' });
    const fail = (error: unknown) => {
      const isFull = error instanceof DOMException && error.name === 'QuotaExceededError';
      reject(isFull ? new Error(full) : error);
    };
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => fail(transaction.error);
    transaction.onerror = () => fail(transaction.error);
    // A full phone is said at once by some browsers, and with the transaction's end by others.
    try {
      act(transaction.objectStore(shelf));
    } catch (error) {
      fail(error);
      transaction.abort();
    }
  });
}

async function read<Value>(shelf: Shelf, ask: (store: IDBObjectStore) => IDBRequest<Value>): Promise<Value> {
  const database = await open();
  return new Promise((resolve, reject) => {
    const request = ask(database.transaction(shelf, 'readonly').objectStore(shelf));
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

export const put = <Name extends Shelf>(shelf: Name, value: Shelves[Name] | Omit<Waiting, 'number'>) =>
  change(shelf, (store) => store.put(value));
export const remove = (shelf: Shelf, keys: readonly IDBValidKey[]) =>
  change(shelf, (store) => {
    for (const key of keys) store.delete(key);
  });
export const all = <Name extends Shelf>(shelf: Name) =>
  read<Shelves[Name][]>(shelf, (store) => store.getAll());
export const get = <Name extends Shelf>(shelf: Name, key: string) =>
  read<Shelves[Name] | undefined>(shelf, (store) => store.get(key));
