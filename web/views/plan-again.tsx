import { comesIntoForce, leftWords, runningWords } from '../job-words.ts';
import { planAgain, stopPlan } from '../load.ts';
import { job, jobFault, secondsLeft } from '../state.ts';

/** Starts a plan; while one runs, shows how far it is and lets it be stopped. Filled when the plan is stale. */
export function PlanAgain({ word, isWanted = false }: { word: string; isWanted?: boolean }) {
  const running = job.value;
  const isRunning = running !== null && (running.state === 'queued' || running.state === 'running');
  if (!isRunning) {
    return (
      <button type="button" class={`button${isWanted ? ' main' : ''}`} onClick={() => void planAgain()}>
        {word}
      </button>
    );
  }
  const { done, total } = running;
  return (
    <span class="planning">
      <span>
        {[runningWords(running), comesIntoForce(running) ? '' : leftWords(secondsLeft.value)]
          .filter(Boolean)
          .join(', ')}
      </span>
      <progress max={total || 1} value={total > 0 ? done : undefined} aria-label="Covers planned" />
      {!comesIntoForce(running) && (
        <button type="button" class="link" onClick={() => void stopPlan()}>
          Stop
        </button>
      )}
    </span>
  );
}

export function JobFault() {
  const fault = jobFault.value;
  if (!fault) return null;
  return (
    <div class="fault strip-fault" role="alert">
      <b>{fault.message}</b>{' '}
      <button type="button" class="link" onClick={() => (jobFault.value = null)}>
        Put away
      </button>
    </div>
  );
}
