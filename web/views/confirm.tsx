import { useEffect, useRef, useState } from 'preact/hooks';

interface Props {
  /** What is removed, by name. */
  name: string;
  /** What follows from it; it cannot be taken back. */
  so: string;
  remove: () => Promise<unknown>;
}

/** Removing what no undo brings back: asked once more in its place, with what follows from it. */
export function RemoveButton({ name, so, remove }: Props) {
  const [isAsked, setIsAsked] = useState(false);
  const keep = useRef<HTMLButtonElement>(null);
  const ask = useRef<HTMLButtonElement>(null);
  const wasAsked = useRef(false);
  useEffect(() => {
    if (isAsked) keep.current?.focus();
    else if (wasAsked.current) ask.current?.focus();
    wasAsked.current = isAsked;
  }, [isAsked]);
  if (!isAsked) {
    return (
      <button ref={ask} type="button" class="link" onClick={() => setIsAsked(true)}>
        Remove<span class="hidden"> {name}</span>
      </button>
    );
  }
  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset may not stand inside a sentence or a table's cell text.
    <span
      class="confirm"
      role="group"
      aria-label={`Remove ${name}?`}
      onKeyDown={(event) => {
        if (event.key !== 'Escape') return;
        event.stopPropagation();
        setIsAsked(false);
      }}
    >
      <span>
        <b>Remove {name}?</b> {so}
      </span>{' '}
      <button ref={keep} type="button" class="button" onClick={() => setIsAsked(false)}>
        Keep it
      </button>{' '}
      <button
        type="button"
        class="button"
        onClick={() => {
          setIsAsked(false);
          void remove();
        }}
      >
        Remove it
      </button>
    </span>
  );
}
