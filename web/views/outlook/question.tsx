import { useId, useState } from 'preact/hooks';
import type { Project } from '#shared/project.ts';
import type { SearchResult } from '#shared/search.ts';
import { AreaChip } from '../../find/area-chip.tsx';
import { type Choice, Combobox } from '../../find/combobox.tsx';
import { ask, asked, typedOverlay } from '../../outlook/asked.ts';
import { areaDraft, isDrawing } from '../../outlook/drawing.ts';
import { view } from '../../state.ts';
import { unitsOf } from '../../units.ts';

/** The overlay and the covers that are asked about; the answer follows while one types. */
export function Question({ project }: { project: Project }) {
  const { overlay } = view.value;
  const { smallUnit } = unitsOf(project);
  const typed = typedOverlay(overlay, project);
  const question = asked.value;
  const faultAt = (field: string) =>
    question && 'fault' in question && question.field === field ? question.fault : null;
  const hint = smallUnit === 'in' ? '1 1/2 in' : '40 mm';
  return (
    <form
      class="overlay-question"
      aria-label="The overlay, and where"
      onSubmit={(event) => event.preventDefault()}
    >
      <SizeField
        word={`Overlay thickness, ${smallUnit}`}
        text={typed.lay}
        hint={hint}
        fault={faultAt('lay')}
        onText={(lay) => ask({ lay }, 'replace')}
      />
      <SizeField
        word={`Milled before, ${smallUnit}`}
        text={typed.mill}
        hint={hint}
        fault={faultAt('mill')}
        onText={(mill) => ask({ mill }, 'replace')}
      />
      <label>
        <span>Among</span>
        <select
          value={overlay.isRegister ? 'register' : 'project'}
          onChange={({ currentTarget }) => ask({ isRegister: currentTarget.value === 'register' })}
        >
          <option value="project">covers of this project</option>
          <option value="register">the whole register</option>
        </select>
      </label>
      <div class="where">
        <span class="where-word">Streets</span>
        <StreetChips />
      </div>
      <div class="where">
        <span class="where-word">Area</span>
        <AreaChip draft={areaDraft} isDrawing={isDrawing} fault={faultAt('area')} />
      </div>
    </form>
  );
}

interface SizeProps {
  word: string;
  text: string;
  hint: string;
  fault: string | null;
  onText: (text: string) => void;
}

function SizeField({ word, text, hint, fault, onText }: SizeProps) {
  const id = useId();
  return (
    <label>
      <span>{word}</span>
      <input
        type="text"
        class="size"
        value={text}
        placeholder={hint}
        aria-invalid={fault !== null || undefined}
        aria-describedby={fault === null ? undefined : id}
        onInput={({ currentTarget }) => onText(currentTarget.value)}
      />
      {fault !== null && (
        <span id={id} class="wrong" role="alert">
          {fault}
        </span>
      )}
    </label>
  );
}

function StreetChips() {
  const [text, setText] = useState('');
  const { streets } = view.value.overlay;
  const add = (name: string) => {
    setText('');
    if (!view.peek().overlay.streets.includes(name)) ask({ streets: [...view.peek().overlay.streets, name] });
  };
  return (
    <>
      {streets.map((name) => (
        <button
          key={name}
          type="button"
          class="chip"
          onClick={() => ask({ streets: streets.filter((other) => other !== name) })}
        >
          <span class="hidden">Take away </span>
          {name} <span aria-hidden="true">×</span>
        </button>
      ))}
      <Combobox
        label="Add a street"
        placeholder={streets.length === 0 ? 'All streets; add one' : 'Add another'}
        nothing={(wanted) => `No street in the register has "${wanted}".`}
        listLabel="Streets found"
        text={text}
        onText={setText}
        choicesOf={(found) => streetChoices(found, add)}
      />
    </>
  );
}

const streetChoices = ({ streets }: SearchResult, add: (name: string) => void): Choice[] =>
  streets.map(({ name, structures: count }) => ({
    key: name,
    word: name,
    note: `${count} in the register`,
    run: () => add(name),
  }));
