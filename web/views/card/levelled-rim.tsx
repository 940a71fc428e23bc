import { useEffect, useId, useRef, useState } from 'preact/hooks';
import type { RimRecordCreate } from '#shared/rim-record.ts';
import type { Structure } from '#shared/structure.ts';
import { faultOf } from '../../api.ts';
import { showEdit } from '../../edit/editing.ts';
import { readLevelled, type TypedRim } from '../../edit/levelled.ts';
import { server } from '../../load.ts';
import { announcement, type Fault } from '../../state.ts';
import { type Units, unitName } from '../../units.ts';
import { FaultNote } from '../notes.tsx';

interface Props {
  structure: Structure;
  units: Units;
  onStored: () => void;
}

/** The day where one is, as a date field writes it. */
function today(): string {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}

const nothing = (): TypedRim => ({ date: today(), rim: '', pavement: '', who: '', note: '' });

/** A rim levelled on a day, with the pavement beside it from the same benchmark: settlement shows in their difference. */
export function LevelledRim({ structure, units, onStored }: Props) {
  const [typed, setTyped] = useState<TypedRim | null>(null);
  const [wrong, setWrong] = useState<Partial<Record<keyof TypedRim, string>>>({});
  const [fault, setFault] = useState<Fault | null>(null);
  const form = useRef<HTMLFormElement>(null);
  useEffect(() => {
    setTyped(null);
    setFault(null);
  }, [structure.id]);
  useEffect(() => {
    if (typed) form.current?.querySelector<HTMLInputElement>('[data-first]')?.focus({ preventScroll: true });
  }, [typed === null]);
  if (!typed) {
    return (
      <button type="button" class="link" onClick={() => setTyped(nothing())}>
        Add a levelled rim
      </button>
    );
  }
  const store = async (event: Event) => {
    event.preventDefault();
    const read = readLevelled(typed, units);
    setWrong('faults' in read ? read.faults : {});
    if ('faults' in read) return;
    const refused = await level(structure.id, read.body);
    setFault(refused);
    if (refused) return;
    setTyped(null);
    onStored();
  };
  const field = (key: keyof TypedRim, word: string, props: object = {}) => (
    <RimField
      word={word}
      value={typed[key]}
      fault={wrong[key] ?? null}
      onText={(text) => {
        setTyped({ ...typed, [key]: text });
        setWrong({ ...wrong, [key]: undefined });
      }}
      props={props}
    />
  );
  const unit = unitName(units);
  return (
    <form class="entry-form" ref={form} onSubmit={store} aria-label="A levelled rim" noValidate>
      {fault && <FaultNote fault={fault} />}
      {field('date', 'Levelled on', { type: 'date', max: today() })}
      {field('rim', `Rim, ${unit}`, { inputMode: 'decimal', 'data-first': true })}
      {field('pavement', `Pavement beside it, ${unit}`, {
        inputMode: 'decimal',
        placeholder: 'blank: not measured',
      })}
      {field('who', 'By', { maxLength: 100 })}
      {field('note', 'What was done', { maxLength: 500 })}
      <p class="foot-actions">
        <button type="submit" class="button main">
          Store the rim
        </button>
        <button type="button" class="button" onClick={() => setTyped(null)}>
          Leave it
        </button>
      </p>
    </form>
  );
}

/** Why it was refused; null where it is stored and shown. */
async function level(id: string, body: RimRecordCreate): Promise<Fault | null> {
  try {
    await server().levelRim(id, body);
  } catch (error) {
    return faultOf(error);
  }
  announcement.value = `The rim of ${id} was added.`;
  await showEdit();
  return null;
}

interface FieldProps {
  word: string;
  value: string;
  fault: string | null;
  onText: (text: string) => void;
  props: object;
}

function RimField({ word, value, fault, onText, props }: FieldProps) {
  const id = useId();
  return (
    <div class="entry-row">
      <label for={id}>{word}</label>
      <input
        id={id}
        type="text"
        autocomplete="off"
        value={value}
        aria-invalid={fault !== null || undefined}
        aria-describedby={fault === null ? undefined : `${id}-note`}
        onInput={({ currentTarget }) => onText(currentTarget.value)}
        {...props}
      />
      {fault !== null && (
        <p id={`${id}-note`} class="wrong" role="alert">
          {fault}
        </p>
      )}
    </div>
  );
}
