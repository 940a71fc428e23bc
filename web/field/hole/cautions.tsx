import { liftingWords, liftLimitText } from '#core/stack/lifting.ts';

interface Props {
  /** Shown before work begins on a cover: its button is the way in. */
  isFirst: boolean;
  /** Heavier is lifted by two, kilograms. */
  twoPersonsKg: number;
  onClose: () => void;
}

/** Cautions of the work; the subpart is OSHA's for permits. */
export function Cautions({ isFirst, twoPersonsKg, onClose }: Props) {
  return (
    <section class="cautions-sheet" role="dialog" aria-modal="true" aria-labelledby="cautions-title">
      <h2 id="cautions-title">Before you open it</h2>
      <p class="first-word">
        <b>The permit, the local code and the competent person on site come first.</b> This is a plan, not
        leave to enter.
      </p>
      <ul>
        <li>
          <b>Open hole.</b> Barricade it. Never leave it unattended.
        </li>
        <li>
          <b>Confined space.</b> No entry without a permit and an air test (29 CFR 1926 Subpart AA).
        </li>
        <li>
          <b>Lifting.</b> Lid hook, no fingers. Over {liftLimitText(twoPersonsKg)} {liftingWords}.
        </li>
        <li>
          <b>Traffic.</b> Stay inside the closure. Plates pinned and ramped. No traffic on a fresh collar.
        </li>
        <li>
          <b>Silica.</b> Saw wet, wear the mask.
        </li>
        <li>
          <b>Vacuum.</b> Nobody over the plate.
        </li>
      </ul>
      <button type="button" class="big main" onClick={onClose}>
        {isFirst ? 'Read, go to the cover' : 'Back to the cover'}
      </button>
    </section>
  );
}
