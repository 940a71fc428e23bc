import { useEffect, useRef, useState } from 'preact/hooks';
import type { ImportPreview, ImportQuestion, StagedImport } from '#shared/staged-import.ts';
import { current, say, saying } from '../../imports/staged.ts';
import { titleOf } from '../../imports/titles.ts';
import { unitWords } from '../../imports/words.ts';
import { type Pictured, picturesOf } from './choice-picture.tsx';

/** What the file does not settle. These come first because nothing can be stored before they are answered. */
export function Questions({ staged, preview }: { staged: StagedImport; preview: ImportPreview }) {
  const had = useFocusKept();
  if (preview.questions.length === 0) return null;
  return (
    <div class="questions" {...had}>
      {preview.questions.map((question, index) => (
        <Question
          key={question.id}
          question={question}
          number={index + 1}
          preview={preview}
          state={staged.state}
        />
      ))}
    </div>
  );
}

/** An answered question goes away: whoever was in it goes on to the next one, or to what can be done then. */
function useFocusKept() {
  const isIn = useRef(false);
  useEffect(() => {
    if (!isIn.current || document.activeElement !== document.body) return;
    const next = document.querySelector<HTMLElement>(
      '.question.open input, .question.open select, .foot-actions .main:not(:disabled)',
    );
    next?.focus();
  });
  return {
    onFocusIn: () => {
      isIn.current = true;
    },
    onFocusOut: ({ relatedTarget }: FocusEvent) => {
      if (relatedTarget) isIn.current = false;
    },
  };
}

interface QuestionProps {
  question: ImportQuestion;
  number: number;
  preview: ImportPreview;
  state: StagedImport['state'];
}

function Question({ question, number, preview, state }: QuestionProps) {
  const { id, code, about, text, choices, isOpen } = question;
  const title = titleOf(code, about);
  const pictures = picturesOf(question, preview);
  const isShut = !['ready', 'reading'].includes(state);
  const isList = choices.length > 8 && pictures.size === 0;
  return (
    <section class={`question${isOpen && !saying.value[id] ? ' open' : ''}`} aria-label={title ?? text}>
      <div class="asked-words">
        <h2>
          <span class="step-number" aria-hidden="true">
            {number}
          </span>
          {title ?? text}
        </h2>
        {title && !saysItAll.includes(code) && <p class="quiet">{text}</p>}
      </div>
      {isList ? (
        <ChoiceList question={question} isShut={isShut} />
      ) : (
        <div
          class={`choices${pictures.size > 0 ? ' pictured' : ''}`}
          role="radiogroup"
          aria-label={title ?? text}
          onPointerDown={() => (isByArrow = false)}
          onKeyDown={({ key }) => (isByArrow = key.startsWith('Arrow'))}
        >
          {choices.map((choice) => (
            <ChoiceCard
              key={choice.id}
              choice={choice}
              question={question}
              pictured={pictures.get(choice.id)}
              isShut={isShut}
            />
          ))}
        </div>
      )}
    </section>
  );
}

/** Questions whose title needs no more words. */
const saysItAll = ['stage'];

/** Arrow keys pass over choices on their way; one is said only when they have rested on it. */
const restMs = 900;
let isByArrow = false;
let resting: ReturnType<typeof setTimeout> | undefined;

function choose(question: string, choice: string): void {
  saying.value = { ...saying.peek(), [question]: choice };
  clearTimeout(resting);
  // Another system is said with its code.
  if (choice === 'other') return;
  const send = () => void say({ questions: { [question]: choice } }, question, choice);
  if (isByArrow) resting = setTimeout(send, restMs);
  else send();
}

/** What was said last; a code of one's own counts as the choice `other`. */
function chosenOf({ id, answer, choices }: ImportQuestion): string | null {
  const said = saying.value[id] ?? current.value.value?.answers.questions?.[id] ?? answer;
  if (said === null || choices.some((choice) => choice.id === said)) return said;
  return choices.some((choice) => choice.id === 'other') ? 'other' : said;
}

interface ChoiceProps {
  choice: ImportQuestion['choices'][number];
  question: ImportQuestion;
  pictured?: Pictured;
  isShut: boolean;
}

function ChoiceCard({ choice, question, pictured, isShut }: ChoiceProps) {
  const isChosen = chosenOf(question) === choice.id;
  const [strong, rest] = wordsOf(question, choice);
  const notes = [
    rest,
    pictured?.caption,
    question.likely === choice.id && !isChosen ? 'shown this way now' : '',
  ]
    .filter(Boolean)
    .join(' · ');
  return (
    <label class={`choice${isChosen ? ' chosen' : ''}`}>
      {pictured?.picture}
      <span class="choice-words">
        <input
          type="radio"
          name={question.id}
          checked={isChosen}
          disabled={isShut}
          onChange={() => choose(question.id, choice.id)}
        />
        <span>
          <b>{strong}</b> {notes && <span class="quiet">{notes}</span>}
          {choice.id === 'other' && isChosen && <OtherSystem question={question} />}
        </span>
      </span>
    </label>
  );
}

/** The unit's name before what follows from it. */
function wordsOf({ code }: ImportQuestion, { id, text, example }: ChoiceProps['choice']): [string, string] {
  const capital = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
  const unit = unitWords[id];
  if (!unit || !/unit|foot/i.test(code)) return [capital(text), ''];
  const { inches, metres } = example;
  if (typeof inches === 'number' && typeof metres === 'number')
    return [capital(unit), `${Number(inches.toFixed(2))} in, ${Number((metres * 1000).toFixed(1))} mm`];
  return [capital(unit), text.startsWith(unit) ? text.slice(unit.length).replace(/^: /, '') : text];
}

function OtherSystem({ question }: { question: ImportQuestion }) {
  const known = question.answer && /^EPSG:/.test(question.answer) ? question.answer : '';
  const [code, setCode] = useState(known);
  const clean = /^(?:EPSG:)?\s*(\d{4,6})$/i.exec(code.trim())?.[1];
  const submit = () => {
    if (clean) void say({ questions: { [question.id]: `EPSG:${clean}` } }, question.id, `EPSG:${clean}`);
  };
  return (
    <span class="other-system">
      <input
        type="text"
        value={code}
        aria-label="EPSG code of the grid"
        placeholder="EPSG:2264"
        onInput={(event) => setCode(event.currentTarget.value)}
        onKeyDown={(event) => event.key === 'Enter' && submit()}
      />
      <button type="button" class="button" disabled={!clean} onClick={submit}>
        Read it so
      </button>
    </span>
  );
}

/** Many choices of words alone: a list to choose from. */
function ChoiceList({ question, isShut }: { question: ImportQuestion; isShut: boolean }) {
  const { id, text, choices } = question;
  return (
    <div class="choices">
      <select
        aria-label={text}
        disabled={isShut}
        value={chosenOf(question) ?? ''}
        onChange={({ currentTarget: { value } }) => {
          if (value) void say({ questions: { [id]: value } }, id, value);
        }}
      >
        <option value="">choose</option>
        {choices.map((choice) => (
          <option key={choice.id} value={choice.id}>
            {choice.text}
          </option>
        ))}
      </select>
    </div>
  );
}
