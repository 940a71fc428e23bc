import type { Job } from '#shared/job.ts';

const count = (number: number): string => number.toLocaleString('en-US');

/** What came of a plan: `3 of 2,970 covers planned again.` */
export function endedWords({
  state,
  unchanged,
  planned,
  total,
}: Pick<Job, 'state' | 'unchanged' | 'planned' | 'total'>): string {
  if (state === 'cancelled') return 'Planning was stopped; the old plan stays.';
  if (state === 'failed') return 'The plan failed; covers keep the plan that they have.';
  if (state !== 'done') return '';
  if (unchanged) return 'Nothing had changed: the plan stays.';
  const covers = total === 1 ? 'cover' : 'covers';
  if (planned === total)
    return `${total === 1 ? 'The' : 'All'} ${total === 1 ? '' : `${count(total)} `}${covers} planned.`;
  return `${count(planned)} of ${count(total)} ${covers} planned again.`;
}

type Running = Pick<Job, 'state' | 'done' | 'total'>;

/** All covers are planned and are given their plans, which cannot be stopped any more. */
export const comesIntoForce = ({ state, done, total }: Running): boolean =>
  state === 'running' && total > 0 && done >= total;

/** `Planning 1,200 of 2,970`; before the covers are counted only that it is under way. */
export function runningWords(job: Running): string {
  if (job.state === 'queued') return 'Waits to be planned';
  if (comesIntoForce(job)) return 'Putting the plan in force';
  return job.total > 0 ? `Planning ${count(job.done)} of ${count(job.total)}` : 'Planning';
}

/** `about 3 min left`: coarse, since the pace changes from street to street. */
export function leftWords(seconds: number | null): string {
  if (seconds === null) return '';
  if (seconds < 10) return 'a few seconds left';
  if (seconds < 90) return `about ${Math.ceil(seconds / 10) * 10} s left`;
  if (seconds < 5400) return `about ${Math.round(seconds / 60)} min left`;
  return `about ${(seconds / 3600).toFixed(1)} h left`;
}
