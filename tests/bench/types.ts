/** One thing to time, and the plain way of doing the same that it is held against. */
export interface BenchCase {
  name: string;
  /** How many of `unit` one call of `work` does. */
  count: number;
  unit: string;
  work: () => void | Promise<void>;
  plain: { name: string; count: number; work: () => void | Promise<void> };
  /** What is aimed at, in words. */
  aim?: string;
}

export interface Figure {
  name: string;
  perSecond: number;
  microseconds: number;
  unit: string;
  beside: string;
  /** Time of the plain way over ours, for the same count: above 1 ours is faster. */
  ratio: number;
  aim: string | undefined;
}
