import { useEffect, useId, useState } from 'preact/hooks';
import type { FoundStructure, SearchResult } from '#shared/search.ts';
import { faultOf } from '../api.ts';
import { server } from '../load.ts';
import { announcement, project, projects, show, view } from '../state.ts';
import { kindWords } from '../words.ts';

interface Choice {
  key: string;
  word: string;
  note: string;
  run: () => void;
}

const restMs = 180;

/** Over the whole register: narrows the table while one types, and leads to a cover, a street or an owner. */
export function SearchBox() {
  const list = useId();
  const [at, setAt] = useState(-1);
  const [isOpen, setIsOpen] = useState(false);
  const text = view.value.search;
  const { found, fault } = useSearch(isOpen ? text : '');
  const choices = found ? choicesOf(found) : [];
  const isShown = isOpen && (choices.length > 0 || found !== null || fault !== null);
  const take = (choice: Choice | undefined) => {
    if (!choice) return;
    setIsOpen(false);
    choice.run();
  };
  const onKey = (event: KeyboardEvent) => {
    if (event.key === 'Enter') take(choices[Math.max(0, at)]);
    else if (event.key === 'Escape' && isShown) setIsOpen(false);
    else if (event.key === 'ArrowDown' || event.key === 'ArrowUp') {
      const step = event.key === 'ArrowDown' ? 1 : -1;
      setIsOpen(true);
      setAt(Math.min(choices.length - 1, Math.max(0, at + step)));
    } else return;
    event.preventDefault();
    event.stopPropagation();
  };
  return (
    <div class="search-box">
      <input
        id="search"
        type="text"
        role="combobox"
        aria-label="Search covers, streets and owners"
        aria-expanded={isShown}
        aria-controls={list}
        aria-autocomplete="list"
        aria-activedescendant={isShown && at >= 0 && at < choices.length ? `${list}-${at}` : undefined}
        autocomplete="off"
        placeholder="Search cover, street, owner"
        value={text}
        onInput={(event) => {
          setAt(-1);
          setIsOpen(true);
          show({ search: event.currentTarget.value }, 'replace');
        }}
        onKeyDown={onKey}
        onBlur={() => setIsOpen(false)}
      />
      <div
        id={list}
        role="listbox"
        aria-label="Found in the register"
        class="found"
        hidden={!isShown || choices.length === 0}
      >
        {choices.map((choice, index) => (
          // biome-ignore lint/a11y/useKeyWithClickEvents: the box above has the focus and the keys.
          // biome-ignore lint/a11y/useFocusableInteractive: the box above has the focus and the keys.
          <div
            key={choice.key}
            id={`${list}-${index}`}
            role="option"
            aria-selected={index === at}
            onMouseDown={(event) => event.preventDefault()}
            onClick={() => take(choice)}
          >
            <b>{choice.word}</b> <span class="quiet">{choice.note}</span>
          </div>
        ))}
      </div>
      {isShown && choices.length === 0 && (
        <p class="found quiet">{fault ?? `Nothing in the register has "${text.trim()}".`}</p>
      )}
    </div>
  );
}

function useSearch(text: string): { found: SearchResult | null; fault: string | null } {
  const [state, setState] = useState<{ found: SearchResult | null; fault: string | null }>({
    found: null,
    fault: null,
  });
  const wanted = text.trim();
  useEffect(() => {
    if (wanted === '') {
      setState({ found: null, fault: null });
      return;
    }
    const controller = new AbortController();
    const timer = setTimeout(async () => {
      try {
        setState({ found: await server().search(wanted, controller.signal), fault: null });
      } catch (error) {
        if (!controller.signal.aborted) setState({ found: null, fault: faultOf(error).message });
      }
    }, restMs);
    return () => {
      clearTimeout(timer);
      controller.abort();
    };
  }, [wanted]);
  return state;
}

function choicesOf({ structures, streets, owners }: SearchResult): Choice[] {
  return [
    ...structures.map(structureChoice),
    ...streets.map(({ name, structures: count }) => ({
      key: `street ${name}`,
      word: name,
      note: `street, ${count} in the register`,
      run: () => show({ search: '', only: { ...view.peek().only, street: name }, street: name }),
    })),
    ...owners.map(({ name, structures: count }) => ({
      key: `owner ${name}`,
      word: name,
      note: `owner, ${count} in the register`,
      run: () => show({ search: '', only: { ...view.peek().only, owner: name } }),
    })),
  ];
}

function structureChoice(found: FoundStructure): Choice {
  const now = project.peek()?.id ?? '';
  const other = found.projects.includes(now) ? null : (found.projects[0] ?? null);
  const where = found.projects.includes(now)
    ? null
    : other === null
      ? 'in no project'
      : `in ${(projects.peek().value ?? []).find(({ id }) => id === other)?.name ?? other}`;
  const note = [kindWords(found.kind), found.street, found.owner, where].filter(Boolean).join(', ');
  return { key: `cover ${found.id}`, word: found.id, note, run: () => goTo(found, other) };
}

/** Opens the card in this project, else in the one it belongs to; one of no project is shown on the map. */
function goTo(found: FoundStructure, other: string | null): void {
  const at = { longitude: found.lon, latitude: found.lat, zoom: 18 };
  if (other !== null)
    show({ project: other, cover: found.id, search: '', filter: [], only: {}, street: null, at });
  else if (found.projects.length > 0) show({ cover: found.id, search: '', at });
  else {
    show({ search: '', cover: null, at });
    announcement.value = `${found.id} is in no project; the map shows where it lies.`;
  }
}
