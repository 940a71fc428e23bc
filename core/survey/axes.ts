/** A place in the project's grid, metres. */
export interface GridPlace {
  east: number;
  north: number;
}

/**
 * Whether northing and easting look exchanged: most places lie outside the area as they were read, and most of them lie
 * inside it the other way round. Never acted on by itself: the user is asked.
 */
export function axesLookSwapped(
  places: readonly GridPlace[],
  isInside: (east: number, north: number) => boolean,
): boolean {
  if (places.length === 0) return false;
  const asRead = places.filter(({ east, north }) => isInside(east, north)).length;
  const swapped = places.filter(({ east, north }) => isInside(north, east)).length;
  return asRead < places.length / 2 && swapped > places.length / 2;
}
