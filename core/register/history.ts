/** A rim as it stood on a day. Elevations in metres; `date` is YYYY-MM-DD. */
export interface DatedRim {
  date: string;
  rim: number;
  /** The pavement beside it on that day; null where it was not measured. */
  pavement: number | null;
  seat: number | null;
  frameHeight: number | null;
  note: string | null;
}

/** `settled`: it went down by less than a ring, which nobody does with rings. */
export type RimStep = 'rebuilt' | 'reframed' | 'raised' | 'lowered' | 'settled' | 'same';

export interface Raise {
  from: string;
  to: string;
  /** + is up, metres. */
  by: number;
  did: RimStep;
  note: string | null;
}

/** Metres. */
export interface StepLimits {
  /** Two levellings of one rim may differ by it. Common practice, no source. */
  same: number;
  /** A rim that is lower by no more than this sank; thinner rings are rare. Common practice, no source. */
  settled: number;
}

export const usualSteps: StepLimits = { same: 0.005, settled: 0.025 };

/** What became of the rim from each record to the next; `records` are in order. */
export function raisesOf(records: readonly DatedRim[], limits = usualSteps): Raise[] {
  return records.slice(1).map((after, index) => {
    const before = records[index];
    return {
      from: before.date,
      to: after.date,
      by: after.rim - before.rim,
      did: stepBetween(before, after, limits),
      note: after.note,
    };
  });
}

function stepBetween(before: DatedRim, after: DatedRim, { same, settled }: StepLimits): RimStep {
  const moved = (was: number | null, is: number | null) =>
    was !== null && is !== null && Math.abs(is - was) > same;
  if (moved(before.seat, after.seat)) return 'rebuilt';
  if (moved(before.frameHeight, after.frameHeight)) return 'reframed';
  const by = after.rim - before.rim;
  if (Math.abs(by) <= same) return 'same';
  if (by > 0) return 'raised';
  return -by <= settled ? 'settled' : 'lowered';
}

/** Records since the rim was last moved by hand: only these tell how it settles. */
export function sinceLastMoved(records: readonly DatedRim[], limits = usualSteps): DatedRim[] {
  const last = raisesOf(records, limits).findLastIndex(({ did }) => did !== 'same' && did !== 'settled');
  return records.slice(last + 1);
}
