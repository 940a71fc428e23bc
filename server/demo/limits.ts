/** How much a stretch was surveyed. Stations in metres. */
export interface Stretch {
  from: number;
  to: number;
  /** `levelled`: 2 mm shots; `rtk`: few shots of 20 mm; `none`: not shot yet. */
  survey: 'levelled' | 'rtk' | 'none';
}

/** One street of the overlay between its limits, and the habits of the crew that shot it. */
export interface OverlayStreet {
  street: string;
  from: number;
  to: number;
  /** Code of the shots on the crown; blank where the crew coded none. */
  crownCode: '' | 'CL';
  /** Code of the shots at both edges of the pavement. */
  edgeCode: 'EP' | 'GU';
  /** Stretches that differ; everything else is levelled. */
  stretches: Stretch[];
}

/** The overlay: five streets that are crowned, banked, curved and crossing. */
export const overlay: readonly OverlayStreet[] = [
  { street: 'avenue-gantry', from: 450, to: 1190, crownCode: 'CL', edgeCode: 'EP', stretches: [] },
  { street: 'street-fennel', from: 370, to: 700, crownCode: '', edgeCode: 'EP', stretches: [] },
  {
    street: 'street-sorrel',
    from: 350,
    to: 715,
    crownCode: '',
    edgeCode: 'EP',
    stretches: [
      { from: 560, to: 632, survey: 'rtk' },
      { from: 632, to: 715, survey: 'none' },
    ],
  },
  { street: 'weir-parkway', from: 80, to: 680, crownCode: '', edgeCode: 'EP', stretches: [] },
  { street: 'millrace-road', from: 40, to: 600, crownCode: 'CL', edgeCode: 'GU', stretches: [] },
];

export function surveyAt(part: OverlayStreet, station: number): Stretch['survey'] {
  return part.stretches.find(({ from, to }) => station >= from && station < to)?.survey ?? 'levelled';
}
