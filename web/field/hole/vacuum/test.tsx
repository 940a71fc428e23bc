import { useState } from 'preact/hooks';
import type { Facts } from '#core/field/facts.ts';
import { decidingReasons, judgeVacuum } from '#core/seal/judgeVacuum.ts';
import type { Asked } from '#core/seal/required.ts';
import { sayVacuum } from '#core/seal/words.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import { useNow } from '../clock.ts';
import { useKept } from '../kept.ts';
import type { Hole } from '../types.ts';
import type { Setup } from './conditions.tsx';
import { Drop } from './drop.tsx';
import { beginRun, lastReading, type Run, readGauge, secondsOf, stopRun, timerText } from './run.ts';
import { useScreenAwake } from './wake.ts';

interface Props {
  hole: Hole;
  table: VacuumTable;
  asked: Asked;
  setup: Setup;
}

/** The test's clock, its gauge and its verdict. It runs by the phone's clock, whatever the screen does. */
export function Test({ hole, table, asked, setup }: Props) {
  const [run, keepRun] = useKept<Run | null>(`${hole.project.id}:${hole.card.structure.id}:vacuum-run`, null);
  const [start, setStart] = useState(table.startInHg);
  const isRunning = run !== null && run.stoppedAt === null;
  const now = useNow(100, isRunning);
  const isAwake = useScreenAwake(isRunning);
  const seconds = run ? secondsOf(run, now) : 0;
  const isTimeUp = asked.seconds !== null && seconds >= asked.seconds;
  const gauge = run ? lastReading(run) : start;
  const set = (inHg: number) => {
    const rounded = Math.round(Math.max(0, Math.min(20, inHg)) * 10) / 10;
    if (run === null) setStart(rounded);
    else keepRun(readGauge(run, rounded, Date.now()));
  };
  return (
    <section class="test" aria-label="Test">
      <p class={`timer${isTimeUp ? ' up' : ''}`} role="timer">
        <b>{timerText(seconds)}</b>
        <span>
          s{asked.seconds !== null && ` of ${asked.seconds}`}
          {isTimeUp && isRunning && <em>Time is up: read the gauge</em>}
        </span>
      </p>
      <Drop
        run={run}
        now={now}
        startInHg={table.startInHg}
        endInHg={table.endInHg}
        requiredSeconds={asked.seconds}
      />
      <Gauge label={run === null ? 'Start, inHg' : 'Now, inHg'} value={gauge} onChange={set} />
      {run === null && (
        <button
          type="button"
          class="big main"
          disabled={asked.seconds === null}
          onClick={() => keepRun(beginRun(start, Date.now()))}
        >
          Pump off: start the clock at {start.toFixed(1)}
        </button>
      )}
      {isRunning && (
        <Stop
          isTimeUp={isTimeUp}
          gauge={gauge}
          endInHg={table.endInHg}
          onStop={(inHg) => {
            const at = Date.now();
            keepRun(stopRun(inHg === gauge ? run : readGauge(run, inHg, at), at));
          }}
        />
      )}
      {isRunning && !isAwake && <p>This phone may turn its screen off; the time runs on by its clock.</p>}
      {run !== null && !isRunning && (
        <Outcome {...{ hole, table, asked, setup, run }} onDone={() => keepRun(null)} />
      )}
    </section>
  );
}

interface StopProps {
  isTimeUp: boolean;
  gauge: number;
  endInHg: number;
  onStop: (inHg: number) => void;
}

/** Before the time is up only the fall to the limit ends a test; broken off before that, it says nothing. */
function Stop({ isTimeUp, gauge, endInHg, onStop }: StopProps) {
  if (isTimeUp)
    return (
      <button type="button" class="big main" onClick={() => onStop(gauge)}>
        Time is up: stop at {gauge.toFixed(1)} inHg
      </button>
    );
  return (
    <div class="row">
      <button type="button" class="big main" onClick={() => onStop(Math.min(gauge, endInHg))}>
        Stop: it fell to {Math.min(gauge, endInHg).toFixed(gauge < endInHg ? 1 : 0)}
      </button>
      <button type="button" class="big" onClick={() => onStop(gauge)}>
        Break off
      </button>
    </div>
  );
}

function Gauge({
  label,
  value,
  onChange,
}: {
  label: string;
  value: number;
  onChange: (value: number) => void;
}) {
  return (
    <fieldset class="gauge" aria-label={label}>
      {[-0.5, -0.1].map((by) => (
        <button
          type="button"
          key={by}
          aria-label={`${label}: ${-by} less`}
          onClick={() => onChange(value + by)}
        >
          −{-by}
        </button>
      ))}
      <output>
        <small>{label}</small>
        {value.toFixed(1)}
      </output>
      {[0.1, 0.5].map((by) => (
        <button
          type="button"
          key={by}
          aria-label={`${label}: ${by} more`}
          onClick={() => onChange(value + by)}
        >
          +{by}
        </button>
      ))}
    </fieldset>
  );
}

const outcomeSays = {
  passed: 'It holds: passed.',
  failed: 'It does not hold: failed.',
  notTested: 'Not tested.',
};

function Outcome({ hole, table, asked, setup, run, onDone }: Props & { run: Run; onDone: () => void }) {
  const seconds = Math.round(secondsOf(run, run.stoppedAt!) * 10) / 10;
  const startInHg = run.readings[0].inHg;
  const endInHg = lastReading(run);
  const required = asked.seconds!;
  const { diameterM, depthM, headAt, frameInPlace } = setup;
  const measured = {
    tableId: table.id,
    scope: table.scope,
    ...{ diameterM, depthM, headAt, frameInPlace, startInHg, endInHg, seconds },
    requiredSeconds: required,
    gauge: setup.gauge.trim(),
  };
  // What is measured is judged; the word `passed` here only says that it was.
  const verdict = judgeVacuum(table, { ...measured, outcome: 'passed', reason: '' });
  const { outcome } = verdict;
  const reasons = decidingReasons(verdict);
  const why = reasons.map((reason) => sayVacuum(reason, table)).join(' ');
  if (outcome === 'notTested' && (reasons[0].code === 'timeShort' || reasons[0].code === 'notLonger'))
    return (
      <div class="note stop" role="status">
        <p>
          <b>Broken off after {seconds} s.</b> It still held, and {required} s are asked: that is no test.
          Start again, or record below that it cannot be tested.
        </p>
        <button type="button" class="big main" onClick={onDone}>
          Start again
        </button>
      </div>
    );
  const record = () => {
    const facts: Facts['vacuum'] = { ...measured, outcome, reason: outcome === 'notTested' ? why : '' };
    hole.record('vacuum', facts);
    onDone();
  };
  return (
    <div class={`note${outcome === 'passed' ? '' : ' stop'}`} role="status">
      <p>
        <b>{outcomeSays[outcome]}</b> {startInHg.toFixed(1)} to {endInHg.toFixed(1)} inHg in {seconds} s;{' '}
        {required} s asked. {why}
      </p>
      <div class="row">
        <button type="button" class="big main" onClick={record}>
          Record: {outcome === 'notTested' ? 'not tested' : outcome}
        </button>
        <button type="button" class="big" onClick={onDone}>
          Throw away
        </button>
      </div>
    </div>
  );
}
