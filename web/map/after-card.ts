import { computed, effect } from '@preact/signals';
import type { Map as StreetMap } from 'maplibre-gl';
import { card, view } from '../state.ts';

/** Whoever opens a card waits for what it says, and for the map no longer than this. */
const patienceMs = 700;

/** The card that the address names is on its way. */
const isCardComing = computed(() => {
  const { value, loading, fault } = card.value;
  const { cover } = view.value;
  return cover !== null && value?.structure.id !== cover && (loading || fault === null);
});

/**
 * Does what holds the page up, such as moving a map to where none of its tiles are drawn yet, once the open card is
 * painted or is long in coming. Returns what calls it off.
 */
export function afterCard(work: () => void): () => void {
  let end = () => {};
  let frame = 0;
  let task: ReturnType<typeof setTimeout> | undefined;
  const stop = () => {
    clearTimeout(late);
    clearTimeout(task);
    cancelAnimationFrame(frame);
    end();
  };
  const run = () => {
    stop();
    work();
  };
  const late = setTimeout(run, patienceMs);
  end = effect(() => {
    cancelAnimationFrame(frame);
    clearTimeout(task);
    // A task of its own, so that the frame with the card in it is shown first.
    if (!isCardComing.value)
      frame = requestAnimationFrame(() => {
        task = setTimeout(run);
      });
  });
  return stop;
}

/** Fits the picture to its frame, after the card where it was the card that narrowed it. Returns what ends it. */
export function followSize(map: StreetMap): () => void {
  let stop = () => {};
  const observer = new ResizeObserver(() => {
    const [frame, canvas] = [map.getContainer(), map.getCanvas()];
    stop();
    if (frame.clientWidth === canvas.clientWidth && frame.clientHeight === canvas.clientHeight) return;
    stop = afterCard(() => map.resize());
  });
  observer.observe(map.getContainer());
  return () => {
    observer.disconnect();
    stop();
  };
}
