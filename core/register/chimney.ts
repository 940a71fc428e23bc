/**
 * The chimney runs from the seat to the underside of the frame, joints included. Lengths are metres. Where the rim alone
 * was measured the frame is taken to stand level: at a tilt of 4 % a frame of 0.2 m stands 0.16 mm higher than that.
 */

/** Greatest chimney of an agency that says nothing: 300 mm (12 in). Common practice, no source. */
export const usualMaxChimney = 0.3;

/** What a structure's heights are; null where something was never measured. */
export interface Heights {
  rim: number | null;
  seat: number | null;
  /** Along the frame's own axis. */
  frameHeight: number;
}

/** Chimney as it stands: rim less frame less seat. null where the rim or the seat was never measured. */
export function buildupNow({ rim, seat, frameHeight }: Heights): number | null {
  return rim === null || seat === null ? null : rim - seat - frameHeight;
}
