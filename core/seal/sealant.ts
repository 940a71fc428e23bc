/**
 * Volumes and lengths of joint sealant. Lengths in metres, areas in square metres, volumes in cubic metres. Nothing here
 * says which product holds: its sheet, the standard that the agency names and the temperature on the day do.
 */

/** By definition 0.0254 m. */
const inch = 0.0254;
export const cubicInch = inch ** 3;
/** US fluid ounce: 1/128 of a gallon of 231 cubic inches, exact (NIST Handbook 44, appendix C). */
export const fluidOunce = (231 / 128) * cubicInch;
export const usGallon = 231 * cubicInch;
export const litre = 1e-3;

/** Cross section of a round bead. */
export const roundSection = (diameter: number): number => (Math.PI / 4) * diameter ** 2;

/** Cross section of a bead as wide as it is tooled and as deep as it is laid. */
export const stripSection = (width: number, depth: number): number => width * depth;

/** How far a volume goes in a bead of that section. */
export const lengthFrom = (volume: number, section: number): number => volume / section;

/** Once round a circle: what one bead takes, with a share on top for splice and waste (0.05 = 5 %). */
export const beadLength = (circleDiameter: number, wasteShare: number): number =>
  Math.PI * circleDiameter * (1 + wasteShare);

/** Sums of lengths may be this much over a whole number of packs before one more is opened. */
const rounding = 1e-9;

/** Whole packs for an amount, one more for any rest. */
export const wholePacks = (amount: number, pack: number): number =>
  Math.max(0, Math.ceil(amount / pack - rounding));

/** Cartridges to bring for a job: what is left of one is not counted for the next job. */
export const cartridgesFor = (length: number, section: number, cartridge: number): number =>
  wholePacks(length * section, cartridge);

export interface RollCount {
  /** As if every end could be used up. */
  byLength: number;
  /** With no more splices in a bead than are allowed; null where no roll is long enough for that. */
  bySplices: number | null;
}

/**
 * Rolls of rope for so many beads of one length. `mostSplices`: joins allowed inside one bead besides where its two ends
 * meet; null for any number. An end of a roll is used where the bead stays within its splices, else it is left over.
 */
export function rollsFor(
  { beads, length }: { beads: number; length: number },
  { roll, mostSplices }: { roll: number; mostSplices: number | null },
): RollCount {
  const byLength = wholePacks(beads * length, roll);
  if (mostSplices === null) return { byLength, bySplices: byLength };
  if (wholePacks(length, roll) > mostSplices + 1) return { byLength, bySplices: null };
  let rolls = 0;
  const ends: number[] = [];
  for (let bead = 0; bead < beads; bead++) {
    // The shortest end that will do goes first, so that long ones are there for the beads to come.
    ends.sort((a, b) => a - b);
    const at = ends.findIndex((end) => end + mostSplices * roll >= length - rounding);
    let missing = length - (at < 0 ? 0 : ends.splice(at, 1)[0]);
    if (missing <= rounding) {
      ends.push(-missing);
      continue;
    }
    const opened = wholePacks(missing, roll);
    rolls += opened;
    missing = opened * roll - missing;
    ends.push(missing);
  }
  return { byLength, bySplices: rolls };
}
