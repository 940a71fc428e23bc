import { useState } from 'preact/hooks';
import { judgeTest } from '#core/seal/judgeVacuum.ts';
import { askedOf } from '#core/seal/required.ts';
import { useKept } from '../kept.ts';
import { allOf } from '../standing.ts';
import type { Hole } from '../types.ts';
import { Asks } from './asks.tsx';
import { Conditions, type Setup } from './conditions.tsx';
import { History } from './history.tsx';
import { NotTested } from './not-tested.tsx';
import { Test } from './test.tsx';

/** The test that the agency asks for, its clock, its verdict, and every test before. */
export function VacuumTab({ hole }: { hole: Hole }) {
  const { vacuumTable: table, card, project } = hole;
  const { structureDiameterM, structureDepthM } = card.structure;
  const first: Setup = {
    diameterM: structureDiameterM,
    depthM: structureDepthM,
    headAt: table?.headAt ?? 'frame',
    frameInPlace: table?.frameInPlace ?? true,
    gauge: '',
  };
  const [setup, keepSetup] = useKept<Setup>(`${project.id}:${card.structure.id}:vacuum-setup`, first);
  const [isSkipping, setSkipping] = useState(false);
  if (table === null)
    return (
      <div class="vacuum-tab">
        <p class={`note${hole.accepted.vacuum ? ' stop' : ''}`}>
          {hole.accepted.vacuum ? (
            <b>
              NOT TESTED. A vacuum test is asked here, but no table of times came with this night. Ask the
              engineer.
            </b>
          ) : (
            <>
              <b>No vacuum test is asked for here.</b> Look at every joint by eye and write down what you see,
              under Steps, Note.
            </>
          )}
        </p>
        <History hole={hole} />
      </div>
    );
  const asked = askedOf(table, setup);
  const tests = allOf(hole.records, 'vacuum');
  const last = tests.at(-1);
  const latest = last ? judgeTest(last.facts, table).outcome : null;
  return (
    <div class="vacuum-tab">
      {hole.accepted.vacuum && latest !== 'passed' && (
        <p class="not-passed" role="status">
          <b>{latest === 'failed' ? 'FAILED. Test again.' : 'NOT TESTED.'}</b>{' '}
          {latest === 'failed' ? 'Not passed.' : 'That is not passed.'}
        </p>
      )}
      <Asks hole={hole} table={table} asked={asked} />
      <Test hole={hole} table={table} asked={asked} setup={setup} />
      <Conditions hole={hole} table={table} setup={setup} onSetup={keepSetup} />
      {isSkipping ? (
        <NotTested hole={hole} table={table} asked={asked} setup={setup} onDone={() => setSkipping(false)} />
      ) : (
        <button type="button" class="big" onClick={() => setSkipping(true)}>
          It cannot be tested now
        </button>
      )}
      <History hole={hole} />
      <p class="which-plan">
        Times from {table.name}: {table.source}
      </p>
    </div>
  );
}
