import type { AppContext } from '../context.ts';
import { resumeStrayImports } from '../staging/resume.ts';
import { resumeStrayJobs } from './request.ts';

const minuteMs = 60_000;

/**
 * Every minute, and once at the start, takes up what no server is at work on and the queue will do no more. A fault of one
 * round leaves the rest to the next.
 */
export async function watchStrays(
  context: Pick<AppContext, 'database' | 'queue' | 'uploads'>,
  log: (error: unknown) => void,
): Promise<{ stop: () => Promise<void> }> {
  const look = async (): Promise<void> => {
    await resumeStrayJobs(context).catch(log);
    await resumeStrayImports(context).catch(log);
  };
  let looking = look();
  await looking;
  const timer = setInterval(() => {
    looking = looking.then(look);
  }, minuteMs);
  timer.unref();
  return {
    stop: async () => {
      clearInterval(timer);
      await looking;
    },
  };
}
