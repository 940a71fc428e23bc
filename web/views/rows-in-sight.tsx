import type { RefObject } from 'preact';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';

/** So many rows are drawn beyond either edge. */
const spare = 12;

/** Which rows of one height can be seen, so that only those need to be drawn: of a box that scrolls, or a page that does. */
export function useRowsInSight(box: RefObject<HTMLElement | null>, rowHeight: number) {
  const [sight, setSight] = useState({ from: 0, to: 40 });
  const look = () => {
    const { current } = box;
    if (!current) return;
    const { top, height } = seenOf(current);
    const from = Math.max(0, Math.floor(top / rowHeight) - spare);
    const to = Math.ceil((top + height) / rowHeight) + spare;
    setSight((before) => (before.from === from && before.to === to ? before : { from, to }));
  };
  useEffect(() => {
    look();
    // On a phone the list is part of the page, and what scrolls is round it.
    document.addEventListener('scroll', look, { capture: true, passive: true });
    addEventListener('resize', look);
    return () => {
      document.removeEventListener('scroll', look, { capture: true });
      removeEventListener('resize', look);
    };
  }, [rowHeight]);
  return sight;
}

/** How far the box is scrolled past its top, and how much of it can be seen at most; pixels. */
function seenOf(box: HTMLElement): { top: number; height: number } {
  const around = isScroller(box) ? box : box.closest('main');
  if (!around || around === box) return { top: box.scrollTop, height: box.clientHeight };
  const top = around.getBoundingClientRect().top - box.getBoundingClientRect().top;
  return { top: Math.max(0, top), height: around.clientHeight };
}

/** Keeps in sight what is in sight while rows are laid before it: `height` is that of all of these, pixels. */
export function useHeldPlace(box: RefObject<HTMLElement | null>, height: number): void {
  const seen = useRef(0);
  useLayoutEffect(() => {
    const more = height - seen.current;
    seen.current = height;
    const { current } = box;
    if (more === 0 || !current) return;
    const scroller = isScroller(current) ? current : current.closest('main');
    if (scroller) scroller.scrollTop += more;
  }, [height]);
}

const isScroller = (box: HTMLElement) => getComputedStyle(box).overflowY !== 'visible';

/** Stands for rows out of sight; the height is the cell's, since an empty row has none. */
export function Filler({ rows, rowHeight, columns }: { rows: number; rowHeight: number; columns: number }) {
  if (rows <= 0) return null;
  return (
    <tr class="filler">
      <td colSpan={columns} style={{ height: `${rows * rowHeight}px` }} />
    </tr>
  );
}

export function bringRowIntoView(
  box: HTMLElement | null,
  { index, rowHeight, head = 34 }: { index: number; rowHeight: number; head?: number },
): void {
  if (!box || index < 0) return;
  const top = index * rowHeight;
  if (top < box.scrollTop) box.scrollTop = top;
  else if (top + rowHeight + head > box.scrollTop + box.clientHeight) {
    box.scrollTop = top + rowHeight + head - box.clientHeight;
  }
}
