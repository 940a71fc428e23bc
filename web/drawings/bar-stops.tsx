import { useRef, useState } from 'preact/hooks';
import type { Bars } from '../plots/bars.ts';
import type { LengthRange } from '../ranges.ts';

/** A place in the drawing that leads to covers. */
export interface Stop {
  range: LengthRange;
  covers: number;
  left: number;
  wide: number;
  /** Where it begins; left out: above the tallest bar, so that a low one is not hard to meet. */
  top?: number;
}

/** Where the drawing leads to covers: its bars, what lies below the first one, and what lies above the last. */
export function stopsOf(
  { bars, below, above }: Bars,
  { x, left, right }: { x: (metres: number) => number; left: number; right: number },
): Stop[] {
  const [low, high] = [bars[0]?.fromM ?? 0, bars.at(-1)?.toM ?? 0];
  return [
    { range: { from: null, below: low }, covers: below, left, wide: 150, top: 0 },
    ...bars.map(({ fromM, toM, covers }) => ({
      range: { from: fromM, below: toM },
      covers,
      left: x(fromM),
      wide: x(toM) - x(fromM),
    })),
    { range: { from: high, below: null }, covers: above, left: right + 22, wide: 34 },
  ].filter(({ covers }) => covers > 0);
}

/** One stop of the Tab key for the whole drawing, as a group of its own; arrows go from bar to bar. */
export function useStops(count: number) {
  const ref = useRef<SVGSVGElement>(null);
  const [wanted, setAt] = useState(0);
  const at = Math.min(wanted, Math.max(0, count - 1));
  const onKeyDown = (event: KeyboardEvent) => {
    const step = { ArrowRight: 1, ArrowLeft: -1, Home: -count, End: count }[event.key];
    if (step === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    const next = Math.min(count - 1, Math.max(0, at + step));
    setAt(next);
    ref.current?.querySelectorAll<SVGElement>('[role="button"]')[next]?.focus();
  };
  return { ref, at, onKeyDown };
}

interface BarStopProps {
  box: { x: number; y: number; width: number; height: number };
  words: string;
  /** The one that the Tab key comes to. */
  isFirst: boolean;
  onOpen: () => void;
}

export function BarStop({ box, words, isFirst, onOpen }: BarStopProps) {
  return (
    // biome-ignore lint/a11y/useSemanticElements: a drawing has no button.
    <rect
      {...box}
      class="bar-stop"
      role="button"
      tabindex={isFirst ? 0 : -1}
      aria-label={words}
      onClick={onOpen}
      onKeyDown={(event) => {
        if (event.key !== 'Enter' && event.key !== ' ') return;
        event.preventDefault();
        onOpen();
      }}
    >
      <title>{words}</title>
    </rect>
  );
}
