import type { Run } from './letters.ts';

const strong = (text: string): Run => ({ text, face: 'strong' });

/**
 * The usual cautions of the work. 23 kg is the load constant of the NIOSH lifting equation (DHHS 94-110); entry into a
 * permit space, 29 CFR 1926 Subpart AA; the rest common practice, no source.
 */
export const cautions: readonly Run[] = [
  strong('Open hole:'),
  ' barricade it, never leave it. ',
  strong('Confined space:'),
  ' no entry without permit and air test (29 CFR 1926 Subpart AA in the United States). ',
  strong('Plate:'),
  ' pinned and ramped. ',
  strong('Lid:'),
  ' hook, no fingers. ',
  strong('Lifting:'),
  ' two people or a hoist over 23 kg (50 lb). ',
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
