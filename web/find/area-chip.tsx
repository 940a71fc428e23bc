import type { Signal } from '@preact/signals';
import type { AreaDraft } from './area.ts';

interface Props {
  draft: AreaDraft;
  isDrawing: Signal<boolean>;
  fault: string | null;
}

/** The area that is drawn, to be taken away, and what lets the map draw it. */
export function AreaChip({ draft, isDrawing, fault }: Props) {
  const { length } = draft.corners.value;
  const isOn = isDrawing.value;
  return (
    <>
      {length > 0 && (
        <button
          type="button"
          class="chip"
          onClick={() => {
            isDrawing.value = false;
            draft.clear();
          }}
        >
          <span class="hidden">Take away the </span>
          {length === 1 ? 'area of 1 corner' : `area of ${length} corners`} <span aria-hidden="true">×</span>
        </button>
      )}
      <button
        type="button"
        class="link"
        aria-pressed={isOn}
        onClick={() => {
          if (isOn && length < 3) draft.set([]);
          isDrawing.value = !isOn;
        }}
      >
        {isOn ? 'Drawn' : length > 0 ? 'Add corners' : 'Draw on the map'}
      </button>
      {fault !== null && (
        <span class="wrong" role="alert">
          {fault}
        </span>
      )}
    </>
  );
}
