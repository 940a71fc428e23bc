import type { LeftOutReason } from '#core/supply/countCover.ts';
import { leftOutWords } from '#core/supply/words.ts';
import { fromMetres } from '#core/units/length.ts';
import type { Takeoff, TakeoffRing } from '#shared/takeoff.ts';
import { csvLine } from '../staging/refused.ts';
import type { CoverToCount } from '../store/supply/takeoff-covers.ts';

const byteOrderMark = '\uFEFF';
export const csvHead = (headings: readonly string[]): string => `${byteOrderMark}${csvLine(headings)}`;

/** A row a ring, then the rings that the catalogue lacks. Sizes are in the unit of the catalogue, which the headings name. */
export function* ringLines(found: Takeoff): Generator<string> {
  const { unit } = found;
  yield csvHead([
    'ring',
    'kind',
    `thin_${unit}`,
    `thick_${unit}`,
    `across_${unit}`,
    'needed',
    'spare',
    'on_hand',
    'short',
    'rings_in_a_pack',
    'packs_to_order',
    'rings_to_order',
    'left_over',
    'built_already',
    'covers_left_out',
    'plan_revision',
    'plan_is_stale',
  ]);
  const ends = [String(found.leftOut), String(found.planRevision), found.planStale ? 'yes' : 'no'];
  for (const ring of found.rings) yield csvLine([...ringFields(ring, unit), ...ends]);
  for (const { ring, needed, built } of found.unknownRings) {
    const blank = Array<string>(7).fill('');
    yield csvLine([
      ring,
      'not in the catalogue',
      '',
      '',
      '',
      String(needed),
      ...blank,
      String(built),
      ...ends,
    ]);
  }
}

function ringFields(ring: TakeoffRing, unit: 'in' | 'mm'): string[] {
  const size = (metres: number) => String(Number(fromMetres(metres, unit).toFixed(4)));
  const { onHand } = ring;
  return [
    ring.ring,
    ring.kind,
    size(ring.thinM),
    size(ring.thickM),
    size(ring.outerDiameterM),
    String(ring.needed),
    String(ring.spare),
    onHand === null ? '' : String(onHand),
    ...[ring.short, ring.pack, ring.packs, ring.toOrder, ring.leftOver, ring.built].map(String),
  ];
}

/** A row a street, night or crew, with a column a ring. */
export function* groupLines(found: Takeoff): Generator<string> {
  const unknown = found.unknownRings.map(({ ring }) => ring);
  const rings = [...found.rings.map(({ ring }) => ring), ...unknown];
  const counts = ['covers', 'to_build', 'no_rings', 'built_already', 'left_out', 'rings_needed'];
  yield csvHead([found.by!, ...counts, ...rings]);
  for (const group of found.groups) {
    const { covers, toBuild, ringless, built, leftOut, needed } = group;
    yield csvLine([
      group.name ?? '',
      ...[covers, toBuild, ringless, built, leftOut, needed].map(String),
      ...rings.map((ring) => String(group.rings[ring] ?? 0)),
    ]);
  }
}

export const leftOutHead = csvHead(['id', 'street', 'night', 'crew', 'reason', 'what_to_do']);

export function leftOutLine({ id, street, night, crew }: CoverToCount, why: LeftOutReason): string {
  const { short, sentence } = leftOutWords[why];
  return csvLine([id, street ?? '', night ?? '', crew ?? '', short, sentence]);
}
