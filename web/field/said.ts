import { signal } from '@preact/signals';

/** The last thing that people have to be told; empty for nothing. */
export const said = signal('');
export const say = (text: string) => {
  said.value = text;
};
