import { liftingWords, liftLimitText } from '#core/stack/lifting.ts';
import { project } from '../../state.ts';

/** The usual cautions of the work. */
export function Cautions() {
  const limit = project.value?.limits.twoPersonsKg.value;
  return (
    <section class="cautions" aria-label="Before you work">
      <p>
        <b>Open hole:</b> barricade it, never leave it unattended. <b>Confined space:</b> no entry without a
        permit and an air test. <b>Lifting:</b> {liftingWords}
        {limit !== undefined && ` above ${liftLimitText(limit)}`}. <b>Traffic:</b> only inside the closure.{' '}
        <b>Silica:</b> cut wet and wear a mask. The permit, local code and licensed practice come before this
        plan.
      </p>
    </section>
  );
}
