import { computed } from '@preact/signals';
import type { OverlayBody } from '#shared/outlook.ts';
import type { Project } from '#shared/project.ts';
import { readSize, sizeText } from '../grade/lengths.ts';
import { type Corner, faultOfOutline, polygonOf } from '../grade/outline.ts';
import { project, show, view } from '../state.ts';
import { type Units, unitsOf } from '../units.ts';
import { cornersText, type OverlayView } from '../url.ts';

/** Lifts of a project add up to its overlay; where none are known, 2 in or 50 mm. Common practice, no source. */
const usualThicknessM = { in: 2 * 0.0254, mm: 0.05 };
/** Limits of the contract, metres. */
const mostM = 0.5;

/** Thickness and mill depth as their fields show them. */
export function typedOverlay({ lay, mill }: OverlayView, now: Project): { lay: string; mill: string } {
  const units = unitsOf(now);
  const lifts = (now.treatment.liftsM ?? []).reduce((sum, lift) => sum + lift, 0);
  return {
    lay: lay ?? sizeText(lifts > 0 ? lifts : usualThicknessM[units.smallUnit], units),
    mill: mill ?? sizeText(now.treatment.millDepthM, units),
  };
}

/** The overlay as it was typed, metres, or what is wrong with which field. */
export function readOverlay(
  typed: { lay: string; mill: string },
  units: Units,
): { thicknessM: number; millM: number } | { field: 'lay' | 'mill' | 'area'; fault: string } {
  const [lay, mill] = [readSize(typed.lay, units), readSize(typed.mill, units)];
  const wrong = (field: 'lay' | 'mill', fault: string) => ({ field, fault });
  if ('fault' in lay) return wrong('lay', lay.fault);
  if (lay.value === 0) return wrong('lay', 'An overlay has a thickness.');
  if (lay.value > mostM) return wrong('lay', `${tooMuch(units)}.`);
  if ('fault' in mill) return wrong('mill', mill.fault);
  if (mill.value > mostM) return wrong('mill', `${tooMuch(units)}.`);
  return { thicknessM: lay.value, millM: mill.value };
}

const tooMuch = (units: Units) => `At most ${sizeText(mostM, units)} can be asked about`;

export type Asked = { body: OverlayBody } | { field: 'lay' | 'mill' | 'area'; fault: string };

/** What the server is asked, from the address; null without a project. */
export const asked = computed<Asked | null>(() => {
  const now = project.value;
  if (!now) return null;
  const { overlay } = view.value;
  const read = readOverlay(typedOverlay(overlay, now), unitsOf(now));
  if ('fault' in read) return read;
  const { streets, area, isRegister } = overlay;
  const outline = area.length < 3 ? null : faultOfOutline(area);
  if (outline) return { field: 'area', fault: outline.replace('A zone', 'An area') };
  return {
    body: {
      ...read,
      ...(isRegister ? {} : { project: now.id }),
      ...(streets.length > 0 ? { streets } : {}),
      ...(area.length < 3 ? {} : { polygon: polygonOf(area) }),
    },
  };
});

/** The same question as the query of an address, for a file. */
export function csvQuery({ thicknessM, millM, project: id, streets }: OverlayBody, area: Corner[]) {
  const query = new URLSearchParams({ thicknessM: `${thicknessM}`, millM: `${millM ?? 0}` });
  if (id !== undefined) query.set('project', id);
  for (const street of streets ?? []) query.append('street', street);
  if (area.length >= 3) query.set('polygon', cornersText(area));
  return query;
}

export function ask(change: Partial<OverlayView>, remember: 'push' | 'replace' = 'push'): void {
  show({ overlay: { ...view.peek().overlay, ...change } }, remember);
}
