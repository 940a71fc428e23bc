import type { Shot, ShotRole } from './types.ts';

/** Every role that a shot may have, in the order that columns number them. */
export const shotRoles: readonly ShotRole[] = ['surface', 'crown', 'edge', 'gutter', 'rim', 'seat'];

const [rim, seat] = [shotRoles.indexOf('rim'), shotRoles.indexOf('seat')];

/** Shots of one surface in columns, for millions of them. Metres in the project's grid. */
export interface ShotColumns {
  readonly count: number;
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly elevation: Float64Array;
  /** Standard deviation of the elevation from the survey's own record; NaN where it has none. */
  readonly recorded: Float64Array;
  /** Where in `shotRoles` the role stands. */
  readonly role: Uint8Array;
  /** Point name as the surveyor wrote it. */
  name(shot: number): string;
}

export function toColumns(shots: readonly Shot[]): ShotColumns {
  const columns = room(shots.length);
  shots.forEach(({ east, north, elevation, sigma, role }, i) => {
    columns.east[i] = east;
    columns.north[i] = north;
    columns.elevation[i] = elevation;
    columns.recorded[i] = sigma ?? Number.NaN;
    columns.role[i] = shotRoles.indexOf(role);
  });
  return { ...columns, name: (shot) => shots[shot].point };
}

/** Empty columns for so many shots. */
export function room(count: number): Omit<ShotColumns, 'name'> {
  const numbers = () => new Float64Array(count);
  return {
    count,
    east: numbers(),
    north: numbers(),
    elevation: numbers(),
    recorded: numbers(),
    role: new Uint8Array(count),
  };
}

/** Some of the shots, in the order of the given numbers. */
export function chosenShots(shots: ShotColumns, numbers: Uint32Array): ShotColumns {
  const { east, north, elevation, recorded, role } = shots;
  const chosen = room(numbers.length);
  for (let i = 0; i < numbers.length; i++) {
    const from = numbers[i];
    chosen.east[i] = east[from];
    chosen.north[i] = north[from];
    chosen.elevation[i] = elevation[from];
    chosen.recorded[i] = recorded[from];
    chosen.role[i] = role[from];
  }
  return { ...chosen, name: (shot) => shots.name(numbers[shot]) };
}

/** Numbers of the shots that a condition holds for. */
export function shotsWhere(
  { count }: Pick<ShotColumns, 'count'>,
  holds: (shot: number) => boolean,
): Uint32Array {
  const numbers = new Uint32Array(count);
  let found = 0;
  for (let i = 0; i < count; i++) if (holds(i)) numbers[found++] = i;
  return numbers.subarray(0, found);
}

/** The shots that a condition holds for; the same columns where it does for all. */
export function shotsThat(shots: ShotColumns, holds: (shot: number) => boolean): ShotColumns {
  const numbers = shotsWhere(shots, holds);
  return numbers.length === shots.count ? shots : chosenShots(shots, numbers);
}

/** Whether a shot was taken on the surface, not on a structure in it. */
export const isOnSurface = ({ role }: Pick<ShotColumns, 'role'>, shot: number): boolean =>
  role[shot] !== rim && role[shot] !== seat;
