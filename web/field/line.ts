import { computed, signal } from '@preact/signals';
import { ApiError } from '../api.ts';

/** How the server answered when it was last asked; `refused` with its own words. */
export type Line = { state: 'signal' } | { state: 'none' } | { state: 'refused'; words: string };

export const line = signal<Line>({ state: 'none' });

/** Whether anything answers at all. */
export const hasSignal = computed(() => line.value.state !== 'none');

/** What a fault of asking says of the line: only where nothing answered is there no signal. */
export function lineOf(error: unknown): Line {
  if (!(error instanceof ApiError) || error.status === 0) return { state: 'none' };
  return { state: 'refused', words: refusalWords(error) };
}

export const refusalWords = ({ status, message }: ApiError): string =>
  `There is a signal, but the server does not give what this phone asks for (HTTP ${status}). ${message}`;
