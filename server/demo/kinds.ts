import type { RegisterRow } from '#core/register/types.ts';
import type { StationOffset } from './alignment.ts';
import type { Random } from './random.ts';
import type { Street } from './streets.ts';

/** A kind of structure: who owns it, how often one comes, where across the street. */
export interface StructureKind {
  kind: string;
  prefix: string;
  owner: string;
  /** Mean distance between two along a street. */
  spacing: number;
  offset: (half: number, random: Random) => number;
  frameHeights: readonly number[];
  rimDiameter: number;
  adjustment: RegisterRow['adjustment'];
}

export const kinds: readonly StructureKind[] = [
  {
    kind: 'sanitary',
    prefix: 'SS',
    owner: 'Sewer Division',
    spacing: 47,
    offset: (_half, random) => random.pick([-1, 1]) * random.between(1.1, 2.4),
    frameHeights: [6, 7, 8],
    rimDiameter: 26,
    adjustment: 'rings',
  },
  {
    kind: 'storm',
    prefix: 'SD',
    owner: 'Stormwater Division',
    spacing: 50,
    offset: (half, random) => random.pick([-1, 1]) * (half - random.between(1.2, 2)),
    frameHeights: [4, 6, 7],
    rimDiameter: 26,
    adjustment: 'rings',
  },
  {
    kind: 'water valve',
    prefix: 'WV',
    owner: 'Water Division',
    spacing: 56,
    offset: (half, random) => half - random.between(1, 1.8),
    frameHeights: [10],
    rimDiameter: 8,
    adjustment: 'telescoping',
  },
  {
    kind: 'electric',
    prefix: 'EL',
    owner: 'Signals and Lighting Division',
    spacing: 120,
    offset: (half, random) => -(half - random.between(1.4, 2.4)),
    frameHeights: [7, 8],
    rimDiameter: 30,
    adjustment: 'rings',
  },
  {
    kind: 'telecom',
    prefix: 'TC',
    owner: 'Fibre Network Office',
    spacing: 150,
    offset: (half, random) => random.pick([-1, 1]) * (half - random.between(1.3, 2.2)),
    frameHeights: [6, 8],
    rimDiameter: 30,
    adjustment: 'rings',
  },
];

/** Where a structure is to stand, before it has an id and a history. */
export interface PlannedPlace {
  street: Street;
  place: StationOffset;
  kind: StructureKind;
  inOverlay: boolean;
}
