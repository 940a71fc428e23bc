import { judgeTest } from '#core/seal/judgeVacuum.ts';
import { allOf } from '../standing.ts';
import { Recorded } from '../steps/recorded.tsx';
import type { Hole } from '../types.ts';

/** Every test of this cover, the latest first. */
export function History({ hole }: { hole: Hole }) {
  const tests = allOf(hole.records, 'vacuum');
  if (tests.length === 0) return null;
  return (
    <section aria-label="Tests so far">
      <h2>Tests so far</h2>
      <ol class="tests" reversed>
        {tests
          .map((test, index) => (
            <li key={test.id} class={judgeTest(test.facts, hole.vacuumTable).outcome}>
              <b>{index + 1}</b>
              <Recorded hole={hole} record={test} />
            </li>
          ))
          .reverse()}
      </ol>
    </section>
  );
}
