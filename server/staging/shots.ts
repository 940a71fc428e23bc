import type { RawShot } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import type { Shot } from '#core/surface/types.ts';
import type { RimShot } from '#core/survey/checks/againstRegister.ts';
import type { Codes } from './codes.ts';
import type { Positioner } from './position.ts';

export interface ShotReading {
  positioner: Positioner;
  elevationMetresPerUnit: number;
  sigmaMetresPerUnit: number;
  codes: Codes;
  /** Rows whose elevation the checks found to stand for none. */
  setAside: ReadonlySet<number>;
}

/** What happens beside the shots that are kept. */
export interface Watch {
  /** A row that is left out, and why. */
  refuse: (problem: Problem) => void;
  /** Called after each batch with how many rows were read in all; throws where the work is to stop. */
  progress: (rows: number) => Promise<void>;
  /** Sees every position as read. */
  place?: (x: number, y: number) => void;
  /** Sees every rim in the project's grid, metres. */
  rim?: (rim: RimShot) => void;
}

/** Farther from the grid's origin than this, metres, is no place on Earth in any grid. */
const beyondEarth = 1e8;
const longestText = 1000;

/** Shots as they are stored: metres in the project's grid, each with what it is a shot on. */
export async function* toShots(
  batches: AsyncIterable<RawShot[]>,
  reading: ShotReading,
  { refuse, progress, place, rim }: Watch,
): AsyncGenerator<Shot[]> {
  let rows = 0;
  for await (const batch of batches) {
    const shots: Shot[] = [];
    for (const raw of batch) {
      place?.(raw.easting, raw.northing);
      const shot = toShot(raw, reading);
      if ('message' in shot) refuse(shot);
      else {
        shots.push(shot);
        if (shot.role === 'rim') rim?.({ ...shot, row: raw.row });
      }
    }
    rows += batch.length;
    await progress(rows);
    if (shots.length > 0) yield shots;
  }
}

function toShot(raw: RawShot, reading: ShotReading): Shot | Problem {
  const { row, point, northing, easting, elevation, code, sigma } = raw;
  if (Number.isNaN(elevation)) {
    return refusal(row, { code: 'noElevation', column: 'elevation', value: '' }, 'blank: missing, not 0');
  }
  if (reading.setAside.has(row)) {
    const message = 'stands for "no elevation": the shots around it are nowhere near';
    return refusal(row, { code: 'setAside', column: 'elevation', value: String(elevation) }, message);
  }
  const use = reading.codes.use(code);
  if (use === 'leaveOut') {
    return refusal(
      row,
      { code: 'leftOut', column: 'code', value: code },
      'shots of this code are not stored',
    );
  }
  const [east, north] = reading.positioner.toGrid(easting, northing);
  if (!(Math.abs(east) < beyondEarth && Math.abs(north) < beyondEarth)) {
    const value = `${northing}, ${easting}`;
    const message = "these coordinates are no place in the project's grid";
    return refusal(row, { code: 'noPlace', column: 'northing, easting', value }, message);
  }
  if (point.length > longestText || code.length > longestText) {
    const message = `longer than ${longestText} characters`;
    return refusal(row, { code: 'tooLong', column: 'code', value: code.slice(0, 80) }, message);
  }
  return {
    point,
    east,
    north,
    elevation: elevation * reading.elevationMetresPerUnit,
    code,
    role: use,
    sigma: sigma === null ? null : sigma * reading.sigmaMetresPerUnit,
  };
}

function refusal(
  row: number,
  { code, column, value }: { code: string; column: string; value: string },
  message: string,
): Problem {
  return { code, row, column, value, message };
}
