import { useEffect, useId, useRef, useState } from 'preact/hooks';
import type { CoverCard } from '#shared/cover.ts';
import type { Structure } from '#shared/structure.ts';
import {
  beginEditing,
  edited,
  editFault,
  editing,
  isFieldOvertaken,
  leaveEditing,
  storeEdit,
  type as typeInto,
  undoEdit,
} from '../../edit/editing.ts';
import { adjustmentWords, type Field, fields, say, textOf, unitOf, valueIn } from '../../edit/fields.ts';
import { rows } from '../../find/rows.ts';
import { streets } from '../../state.ts';
import type { Units } from '../../units.ts';
import { kindWords } from '../../words.ts';
import { FaultNote } from '../notes.tsx';

interface Props {
  card: CoverCard;
  units: Units;
}

/** What the register says of the cover, to be changed in place; what is wrong is said at its field. */
export function RegisterEntry({ card: { structure }, units }: Props) {
  const now = editing.value;
  const isEditing = now?.structureId === structure.id;
  const done = edited.value?.structureId === structure.id ? edited.value : null;
  const change = useRef<HTMLButtonElement>(null);
  const wasEditing = useRef(false);
  // The fields go away with what had the focus in them.
  useEffect(() => {
    if (wasEditing.current && !isEditing) change.current?.focus({ preventScroll: true });
    wasEditing.current = isEditing;
  }, [isEditing]);
  return (
    <section class="entry" aria-label="In the register">
      <header class="entry-head">
        <h3>In the register</h3>
        {!isEditing && (
          <button type="button" class="link" ref={change} onClick={() => beginEditing(structure)}>
            Change
          </button>
        )}
      </header>
      {done && !isEditing && (
        <p class="entry-done">
          <b>{done.words}</b>{' '}
          <button type="button" class="link" onClick={() => void undoEdit(structure.id, done.eventId)}>
            Undo
          </button>
        </p>
      )}
      {editFault.value && <FaultNote fault={editFault.value} />}
      {isEditing ? (
        <EntryForm structure={structure} units={units} />
      ) : (
        <Entry structure={structure} units={units} />
      )}
    </section>
  );
}

/** Seat slopes are said only where there are any. */
function Entry({ structure, units }: { structure: Structure; units: Units }) {
  const shown = fields.filter((field) => field.kind !== 'percent' || valueIn(structure, field.key) !== 0);
  return (
    <dl>
      {shown.map((field) => (
        <div key={field.key}>
          <dt>{field.word}</dt>
          <dd>
            {field.key === 'kind'
              ? kindWords(structure.kind)
              : say(field, valueIn(structure, field.key), units)}
          </dd>
        </div>
      ))}
    </dl>
  );
}

function EntryForm({ structure, units }: { structure: Structure; units: Units }) {
  const [isBusy, setBusy] = useState(false);
  const form = useRef<HTMLFormElement>(null);
  useEffect(() => form.current?.querySelector('input')?.focus({ preventScroll: true }), []);
  const store = async (event: Event) => {
    event.preventDefault();
    setBusy(true);
    const isStored = await storeEdit(structure, units);
    setBusy(false);
    if (!isStored) form.current?.querySelector<HTMLElement>('[aria-invalid="true"]')?.focus();
  };
  return (
    <form class="entry-form" ref={form} onSubmit={store} aria-label={`Change ${structure.id}`} noValidate>
      {fields.map((field) => (
        <FieldRow key={field.key} field={field} structure={structure} units={units} />
      ))}
      <p class="foot-actions">
        <button type="submit" class="button main" disabled={isBusy}>
          Store the changes
        </button>
        <button type="button" class="button" onClick={leaveEditing}>
          Leave it
        </button>
      </p>
    </form>
  );
}

interface RowProps {
  field: Field;
  structure: Structure;
  units: Units;
}

function FieldRow({ field, structure, units }: RowProps) {
  const id = useId();
  const { draft, faults } = editing.value!;
  const text = draft[field.key] ?? textOf(field, structure, units);
  const fault = faults[field.key];
  const unit = unitOf(field, units);
  const isOvertaken = isFieldOvertaken(editing.value!, field, { now: structure, units });
  const note = fault
    ? `${field.word} ${fault}.`
    : isOvertaken
      ? `Somebody made it ${say(field, valueIn(structure, field.key), units)} meanwhile; Store puts yours in its place.`
      : null;
  return (
    <div class="entry-row">
      <label for={id}>
        {field.word}
        {unit && <span class="unit">, {unit}</span>}
      </label>
      <FieldControl
        id={id}
        field={field}
        text={text}
        described={note === null ? undefined : `${id}-note`}
        isWrong={fault !== undefined}
      />
      {note !== null && (
        <p id={`${id}-note`} class="wrong" role="alert">
          {note}
        </p>
      )}
    </div>
  );
}

interface ControlProps {
  id: string;
  field: Field;
  text: string;
  described: string | undefined;
  isWrong: boolean;
}

const choices = {
  yesNo: [
    ['', 'not known'],
    ['true', 'yes'],
    ['false', 'no'],
  ],
  adjustment: Object.entries(adjustmentWords),
} as const;

function FieldControl({ id, field, text, described, isWrong }: ControlProps) {
  const shared = { id, value: text, 'aria-describedby': described, 'aria-invalid': isWrong || undefined };
  if (field.kind === 'yesNo' || field.kind === 'adjustment') {
    return (
      <select {...shared} onChange={({ currentTarget }) => typeInto(field.key, currentTarget.value)}>
        {choices[field.kind].map(([value, word]) => (
          <option key={value} value={value}>
            {word}
          </option>
        ))}
      </select>
    );
  }
  const suggested = suggestionsFor(field);
  return (
    <>
      <input
        type="text"
        {...shared}
        inputMode={field.kind === 'text' ? 'text' : 'decimal'}
        placeholder={field.hint ?? (field.mayBeBlank ? 'blank: not known' : '')}
        list={suggested.length > 0 ? `${id}-list` : undefined}
        autocomplete="off"
        onInput={({ currentTarget }) => typeInto(field.key, currentTarget.value)}
      />
      {suggested.length > 0 && (
        <datalist id={`${id}-list`}>
          {suggested.map((value) => (
            <option key={value} value={value} />
          ))}
        </datalist>
      )}
    </>
  );
}

/** What other covers have there: suggestions, not all that may be. */
function suggestionsFor({ key }: Field): string[] {
  if (key === 'street')
    return (streets.value.value?.features ?? []).slice(0, 300).map(({ properties }) => properties.name);
  if (key !== 'owner' && key !== 'kind') return [];
  return [...new Set(rows.value.items.map((row) => row[key] ?? ''))].filter(Boolean).slice(0, 40);
}
