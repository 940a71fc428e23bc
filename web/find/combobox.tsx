import { useEffect, useId, useState } from 'preact/hooks';
import type { SearchResult } from '#shared/search.ts';
import { faultOf } from '../api.ts';
import { server } from '../load.ts';

export interface Choice {
  key: string;
  word: string;
  note: string;
  run: () => void;
}

interface Props {
  id?: string;
  label: string;
  placeholder: string;
  /** Said where nothing is found for what was typed. */
  nothing: (text: string) => string;
  text: string;
  onText: (text: string) => void;
  choicesOf: (found: SearchResult) => Choice[];
  listLabel: string;
}

const restMs = 180;

/** A field that looks in the whole register while one types, and the list of what it found; arrows and Enter choose. */
export function Combobox({ id, label, placeholder, nothing, text, onText, choicesOf, listLabel }: Props) {
  const list = useId();
  const [at, setAt] = useState(-1);
  const [isOpen, setIsOpen] = useState(false);
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
        id={id}
        type="text"
        role="combobox"
        aria-label={label}
        aria-expanded={isShown}
        aria-controls={list}
        aria-autocomplete="list"
        aria-activedescendant={isShown && at >= 0 && at < choices.length ? `${list}-${at}` : undefined}
        autocomplete="off"
        placeholder={placeholder}
        value={text}
        onInput={(event) => {
          setAt(-1);
          setIsOpen(true);
          onText(event.currentTarget.value);
        }}
        onKeyDown={onKey}
        onBlur={() => setIsOpen(false)}
      />
      <div
        id={list}
        role="listbox"
        aria-label={listLabel}
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
      {isShown && choices.length === 0 && <p class="found quiet">{fault ?? nothing(text.trim())}</p>}
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
