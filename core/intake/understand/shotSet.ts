import { couldBeNone, findNoElevations } from '../../survey/checks/noElevation.ts';
import type { CheckShot, CheckUnits, Finding } from '../../survey/checks/types.ts';
import { checkShots } from '../../survey/checks.ts';
import type { RawShot } from '../types.ts';

/** So many shots from the start of a file are checked in full. */
export const mostChecked = 100_000;
/** Shots of the rest that are kept as neighbours, evenly spread, and as suspects. */
const mostThinned = 50_000;
const mostSuspects = 10_000;

/**
 * The shots of a file as far as they are checked before anything is stored, in bounded memory: all of a usual survey;
 * of a longer one the beginning in full, and in the rest the elevations that may stand for "none".
 */
export class ShotSet {
  readonly #full: CheckShot[] = [];
  #thinned: CheckShot[] = [];
  readonly #suspects: CheckShot[] = [];
  #stride = 1;
  #later = 0;

  add(raw: RawShot): void {
    if (this.#full.length < mostChecked) {
      this.#full.push(checkShotOf(raw));
      return;
    }
    if (couldBeNone(raw.elevation)) {
      if (this.#suspects.length < mostSuspects) this.#suspects.push(checkShotOf(raw));
    } else if (this.#later % this.#stride === 0 && !Number.isNaN(raw.elevation)) this.#thin(checkShotOf(raw));
    this.#later++;
  }

  #thin(shot: CheckShot): void {
    this.#thinned.push(shot);
    if (this.#thinned.length < mostThinned) return;
    this.#thinned = this.#thinned.filter((_, index) => index % 2 === 0);
    this.#stride *= 2;
  }

  /** Shots after those checked in full. */
  get later(): number {
    return this.#later;
  }

  findings(units: CheckUnits): Finding[] {
    const found = checkShots(this.#full, units);
    if (this.#suspects.length === 0) return found;
    return [...found, ...findNoElevations([...this.#thinned, ...this.#suspects], units)];
  }
}

function checkShotOf({ row, point, easting, northing, elevation, code, fix, epoch }: RawShot): CheckShot {
  const shot: CheckShot = { row, point, east: easting, north: northing, elevation, code };
  if (fix !== undefined) shot.fix = fix;
  if (epoch !== undefined) shot.epoch = epoch;
  return shot;
}
