import { useState } from 'preact/hooks';
import { lastOf, openPlate, timeText } from '../standing.ts';
import type { Hole } from '../types.ts';
import { forms } from './forms.tsx';
import { missingBefore, nextStep, recordsOf, type Step, type StepName, steps } from './list.ts';
import { Recorded } from './recorded.tsx';
import { TakenBack } from './taken-back.tsx';

/** The work in its order: what is done, by whom and when, and a short form for what is measured next. */
export function StepsTab({ hole }: { hole: Hole }) {
  const [open, setOpen] = useState<StepName | null>(null);
  const next = nextStep(hole.records);
  return (
    <div class="steps-tab">
      <Refused hole={hole} />
      <ol class="steps">
        {steps.map((step) => (
          <StepRow
            key={step.step}
            hole={hole}
            step={step}
            isNext={step.step === next}
            isOpen={step.step === open}
            onOpen={() => setOpen(step.step === open ? null : step.step)}
            onDone={() => setOpen(null)}
          />
        ))}
      </ol>
      <TakenBack hole={hole} />
    </div>
  );
}

/** The engineer did not take it: that is the first thing to know here. */
function Refused({ hole }: { hole: Hole }) {
  const word = lastOf(hole.records, 'accepted');
  if (word === null || word.facts.accepted) return null;
  return (
    <p class="note stop">
      <b>
        Not accepted by {word.by}, {timeText(word.deviceTime)}.
      </b>{' '}
      {[...word.facts.reasons, word.facts.reason].filter(Boolean).join(' ')}
    </p>
  );
}

interface RowProps {
  hole: Hole;
  step: Step;
  isNext: boolean;
  isOpen: boolean;
  onOpen: () => void;
  onDone: () => void;
}

function StepRow({ hole, step, isNext, isOpen, onOpen, onDone }: RowProps) {
  const done = recordsOf(step, hole.records);
  const isPlated = step.step === 'plate' && openPlate(hole.records) !== null;
  const missing = missingBefore(step, hole.records);
  const Form = forms[step.step];
  const state = isPlated ? 'plated' : done.length > 0 ? 'done' : 'to-do';
  return (
    <li class={`step ${state}${isNext ? ' next' : ''}${isOpen ? ' open' : ''}`}>
      <button type="button" class="step-head" aria-expanded={isOpen} onClick={onOpen}>
        <i aria-hidden="true">{isPlated ? '!' : done.length > 0 ? '✓' : ''}</i>
        <span>
          {step.word}
          {isPlated ? (
            <small>Must be reopened</small>
          ) : (
            done.length === 0 && step.isAsNeeded && <small>where it is needed</small>
          )}
          {done.length > 0 && <span class="hidden">, recorded</span>}
        </span>
        <em aria-hidden="true">{isOpen ? '▴' : '▾'}</em>
      </button>
      {done.map((record) => (
        <Recorded key={record.id} hole={hole} record={record} />
      ))}
      {isOpen && (
        <div class="step-form">
          {missing.length > 0 && (
            <p class="out-of-order">
              <b>Before its turn:</b> {missing.join(', ')} {missing.length === 1 ? 'is' : 'are'} not recorded.
            </p>
          )}
          <Form
            hole={hole}
            save={(kind, facts) => {
              hole.record(kind, facts);
              onDone();
            }}
          />
        </div>
      )}
    </li>
  );
}
