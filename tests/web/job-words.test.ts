import { describe, expect, it } from 'vitest';
import { endedWords, leftWords, runningWords } from '../../web/job-words.ts';

const ended = (planned: number, total: number, unchanged = false) =>
  endedWords({ state: 'done', unchanged, planned, total });

describe('words about a plan', () => {
  it('say how many of the covers were planned again', () => {
    expect(ended(3, 2970)).toBe('3 of 2,970 covers planned again.');
    expect(ended(2970, 2970)).toBe('All 2,970 covers planned.');
    expect(ended(1, 1)).toBe('The cover planned.');
    expect(ended(0, 12, true)).toBe('Nothing had changed: the plan stays.');
    expect(endedWords({ state: 'cancelled', unchanged: false, planned: 0, total: 9 })).toMatch(
      /old plan stays/,
    );
  });

  it('say how far a running one is and how long it takes', () => {
    expect(runningWords({ state: 'running', done: 1200, total: 2970 })).toBe('Planning 1,200 of 2,970');
    expect(runningWords({ state: 'running', done: 0, total: 0 })).toBe('Planning');
    expect(runningWords({ state: 'running', done: 2970, total: 2970 })).toBe('Putting the plan in force');
    expect(runningWords({ state: 'queued', done: 0, total: 0 })).toBe('Waits to be planned');
    expect([null, 4, 41, 200, 9000].map(leftWords)).toEqual([
      '',
      'a few seconds left',
      'about 50 s left',
      'about 3 min left',
      'about 2.5 h left',
    ]);
  });
});
