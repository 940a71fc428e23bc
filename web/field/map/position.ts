import type { Place } from './features.ts';

const longestWaitMs = 20_000;

/**
 * Where the phone is, asked for once: it is neither followed nor kept.
 * @throws Error in words for the person at the phone.
 */
export function askPlace(): Promise<Place> {
  return new Promise((resolve, reject) => {
    if (!('geolocation' in navigator)) {
      reject(new Error('This phone does not tell pages where it is. Go by the streets and the ties.'));
      return;
    }
    navigator.geolocation.getCurrentPosition(
      ({ coords: { longitude, latitude, accuracy } }) => resolve({ longitude, latitude, accuracy }),
      ({ code }) => reject(new Error(words[code] ?? words[2])),
      { enableHighAccuracy: true, timeout: longestWaitMs, maximumAge: 0 },
    );
  });
}

/** By the codes of the Geolocation standard (W3C Geolocation, GeolocationPositionError). */
const words: Record<number, string> = {
  1: 'The phone was not allowed to say where it is. Allow location for this page in its settings, or go by the streets and the ties.',
  2: 'The phone does not know where it is. Go by the streets and the ties.',
  3: 'The phone found no position in 20 seconds. Try again under open sky, or go by the streets and the ties.',
};
