/**
 * Files on their way to the server, kept in the browser until all their bytes have arrived, so that a reloaded page
 * goes on by itself. Where the browser keeps none (a private window, no room), people choose the file again.
 */
const databaseName = 'rimplane-uploads';
const storeName = 'files';

function open(): Promise<IDBDatabase> {
  const request = indexedDB.open(databaseName, 1);
  request.onupgradeneeded = () => request.result.createObjectStore(storeName);
  return resultOf(request);
}

function resultOf<Result>(request: IDBRequest<Result>): Promise<Result> {
  const { promise, resolve, reject } = Promise.withResolvers<Result>();
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
  return promise;
}

async function inStore<Result>(
  mode: IDBTransactionMode,
  act: (store: IDBObjectStore) => IDBRequest<Result>,
): Promise<Result | null> {
  try {
    const database = await open();
    const result = await resultOf(act(database.transaction(storeName, mode).objectStore(storeName)));
    database.close();
    return result;
  } catch {
    return null;
  }
}

export async function keepFiles(importId: string, files: readonly File[]): Promise<void> {
  await inStore('readwrite', (store) => store.put(files, importId));
}

export async function forgetFiles(importId: string): Promise<void> {
  await inStore('readwrite', (store) => store.delete(importId));
}

/** null where they are not kept or can no longer be read, e.g. because the file was changed on disk. */
export async function keptFiles(importId: string): Promise<File[] | null> {
  const files = await inStore<File[] | undefined>('readonly', (store) => store.get(importId));
  if (!files) return null;
  try {
    for (const file of files) await file.slice(0, 1).arrayBuffer();
    return files;
  } catch {
    return null;
  }
}
