import { useEffect, useRef } from 'preact/hooks';
import { keyWords } from '../keyboard.ts';
import { keysShown } from '../state.ts';

/** The keys of the desk; a modal dialog, so that focus stays in it and goes back after. */
export function KeyList() {
  const ref = useRef<HTMLDialogElement>(null);
  const isShown = keysShown.value;
  useEffect(() => {
    if (isShown) ref.current?.showModal();
    else ref.current?.close();
  }, [isShown]);
  return (
    <dialog ref={ref} class="key-list" aria-label="Keys" onClose={() => (keysShown.value = false)}>
      <h2>Keys</h2>
      <dl>
        {keyWords.map(([key, what]) => (
          <div key={key}>
            <dt>
              <kbd>{key}</kbd>
            </dt>
            <dd>{what}</dd>
          </div>
        ))}
      </dl>
      <button type="button" class="button" onClick={() => (keysShown.value = false)}>
        Close
      </button>
    </dialog>
  );
}
