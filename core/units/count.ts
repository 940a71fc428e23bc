/** `1 row`, `12 rows`: a number with its noun. */
export const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;
