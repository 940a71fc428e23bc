import type { RefObject } from 'preact';
import { useEffect, useState } from 'preact/hooks';

/** So many rows are drawn beyond either edge. */
const spare = 12;

/** Which rows of one height a scrolling box shows, so that only those need to be drawn. `look` follows its scrolling. */
export function useRowsInSight(box: RefObject<HTMLElement | null>, rowHeight: number) {
  const [sight, setSight] = useState({ from: 0, to: 40 });
  const look = () => {
    const { current } = box;
    if (!current) return;
    const from = Math.max(0, Math.floor(current.scrollTop / rowHeight) - spare);
    const to = Math.ceil((current.scrollTop + current.clientHeight) / rowHeight) + spare;
    setSight((before) => (before.from === from && before.to === to ? before : { from, to }));
  };
  useEffect(() => {
    look();
    addEventListener('resize', look);
    return () => removeEventListener('resize', look);
  }, [rowHeight]);
  return { sight, look };
}

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
