import { useState } from 'preact/hooks';

/** Entries that are not recorded yet stay on the phone, so that a lost page costs no typing. */
const prefix = 'rimplane-hole:';

export function readKept<Value>(key: string, otherwise: Value): Value {
  try {
    const text = localStorage.getItem(prefix + key);
    return text === null ? otherwise : (JSON.parse(text) as Value);
  } catch {
    return otherwise;
  }
}

/** A phone without room for it keeps the entry in the page alone. */
export function writeKept(key: string, value: unknown): void {
  try {
    if (value === null) localStorage.removeItem(prefix + key);
    else localStorage.setItem(prefix + key, JSON.stringify(value));
  } catch {
    console.warn(`No room to keep ${key}`);
  }
}

/** State that outlives the page. `null` forgets it. */
export function useKept<Value>(key: string, otherwise: Value) {
  const [value, setValue] = useState(() => readKept(key, otherwise));
  const keep = (next: Value) => {
    setValue(next);
    writeKept(key, next);
  };
  return [value, keep] as const;
}
