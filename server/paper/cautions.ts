import { liftingWords, liftLimitText } from '#core/stack/lifting.ts';
import type { Run } from './letters.ts';

const strong = (text: string): Run => ({ text, face: 'strong' });

/**
 * The usual cautions of the work; one person alone lifts up to `twoPersonsKg`. Entry into a permit space, 29 CFR 1926
 * Subpart AA; the rest common practice, no source.
 */
export const cautions = (twoPersonsKg: number): readonly Run[] => [
  strong('Open hole:'),
  ' barricade it, never leave it. ',
  strong('Confined space:'),
  ' no entry without permit and air test (29 CFR 1926 Subpart AA in the United States). ',
  strong('Plate:'),
  ' pinned and ramped. ',
  strong('Lid:'),
  ' hook, no fingers. ',
  strong('Lifting:'),
  ` over ${liftLimitText(twoPersonsKg)} ${liftingWords}. `,
  strong('Sawing:'),
  ' water and mask, the dust holds silica. ',
  strong('Vacuum:'),
  ' nobody over the plate. ',
  strong('Collar:'),
  ' no traffic before its cure time. ',
  strong('Traffic:'),
  ' work only inside the closure. ',
  strong('The permit, the local code and the competent person on site come before this paper.'),
];
