/** A test that runs or has run. Times are milliseconds of the phone's clock, so that a sleeping phone loses none. */
export interface Run {
  startedAt: number;
  stoppedAt: number | null;
  /** Gauge readings in the order in which they were taken, the first at the start. */
  readings: { at: number; inHg: number }[];
}

export const beginRun = (startInHg: number, now: number): Run => ({
  startedAt: now,
  stoppedAt: null,
  readings: [{ at: now, inHg: startInHg }],
});

/** Seconds since the start, or until it was stopped. */
export const secondsOf = ({ startedAt, stoppedAt }: Run, now: number): number =>
  Math.max(0, (stoppedAt ?? now) - startedAt) / 1000;

export const lastReading = ({ readings }: Run): number => readings.at(-1)!.inHg;

/** A reading taken now; one within half a second of the last takes its place, so that steps of a key are one reading. */
export function readGauge(run: Run, inHg: number, now: number): Run {
  const last = run.readings.at(-1)!;
  const isStep = run.readings.length > 1 && now - last.at < 500;
  const before = isStep ? run.readings.slice(0, -1) : run.readings;
  return { ...run, readings: [...before, { at: run.stoppedAt ?? now, inHg }] };
}

export const stopRun = (run: Run, now: number): Run => ({ ...run, stoppedAt: now });

/** Whole seconds that have passed, never rounded up: the table is in seconds too. */
export const timerText = (seconds: number): string => String(Math.floor(seconds + 1e-6));
