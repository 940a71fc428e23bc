import type { Asked } from '#core/seal/required.ts';
import { formatDistance } from '#core/units/format.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';
import { nominal } from '../../../units.ts';
import type { Hole } from '../types.ts';
import { headWords } from './words.ts';

/** What the agency's table asks of this barrel, and where that is printed. */
export function Asks({ hole, table, asked }: { hole: Hole; table: VacuumTable; asked: Asked }) {
  const { structureDiameterM, structureDepthM } = hole.card.structure;
  const barrel = [
    structureDiameterM === null ? '' : `${nominal(structureDiameterM, hole.units)} barrel`,
    structureDepthM === null ? '' : `${formatDistance(structureDepthM, hole.units.elevation)} deep`,
  ].filter(Boolean);
  return (
    <section class="asks" aria-label="What is asked">
      {table.scope === 'chimney' && (
        <p class="note">
          <b>Chimney only: agency-defined.</b> No published standard tests rings and frame alone.
        </p>
      )}
      <p>
        {barrel.join(', ')}
        {barrel.length > 0 && ': '}
        {asked.seconds === null ? (
          <b class="fault">how long is not known.</b>
        ) : (
          <>
            <b>
              hold {table.passes === 'longer' ? 'more than ' : ''}
              {asked.seconds} seconds
            </b>{' '}
            from {table.startInHg} to {table.endInHg} inHg.
          </>
        )}
        {table.drawInHg !== table.startInHg && ` Draw ${table.drawInHg} inHg first.`}
        {table.settleSeconds > 0 && ` Let it stand ${table.settleSeconds} s before the clock.`}{' '}
        {headWords[table.headAt]}
        {table.frameInPlace === null ? '' : table.frameInPlace ? ', frame in place' : ', before the frame'}.
      </p>
      {asked.doubts.map((doubt) => (
        <p key={doubt} class="out-of-order">
          {doubt}
        </p>
      ))}
      <p>
        <b>Nobody over the plate.</b>
      </p>
    </section>
  );
}
