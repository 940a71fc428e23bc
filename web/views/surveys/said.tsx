import type { ImportPreview, StagedImport } from '#shared/staged-import.ts';
import { say } from '../../imports/staged.ts';
import { saidWords } from '../../imports/titles.ts';

/** What was answered and is asked no more; each answer can be taken back until the file is stored. */
export function Said({ staged, preview }: { staged: StagedImport; preview: ImportPreview }) {
  const asked = new Set(preview.questions.map(({ id }) => id));
  const said = Object.entries(staged.answers.questions ?? {}).flatMap(([id, answer]) =>
    asked.has(id) || answer === null ? [] : [{ id, ...saidWords(id, answer) }],
  );
  if (said.length === 0) return null;
  const isShut = !['ready', 'reading'].includes(staged.state);
  return (
    <ul class="said" aria-label="What you said">
      {said.map(({ id, question, answer }) => (
        <li key={id}>
          {question} <b>{answer}</b>{' '}
          {!isShut && (
            <button type="button" class="link" onClick={() => void say({ questions: { [id]: null } })}>
              Ask again<span class="hidden">: {question}</span>
            </button>
          )}
        </li>
      ))}
    </ul>
  );
}
