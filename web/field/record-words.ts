import type { RecordKind } from '#core/field/facts.ts';

const words: Record<RecordKind, string> = {
  found: 'looked for',
  plated: 'plated',
  reopened: 'reopened',
  liftReached: 'lift reached',
  stackChosen: 'stack chosen',
  dryStacked: 'dry stack checked',
  ringsUsed: 'rings used',
  sealed: 'sealed',
  spigotTrimmed: 'spigot trimmed',
  seatSeen: 'seat looked at',
  mortarBed: 'mortar bed',
  frameSet: 'frame set',
  backfilled: 'backfilled',
  collarPlaced: 'collar placed',
  rimChecked: 'rim checked',
  straightedge: 'straightedge',
  bevelled: 'bevelled',
  vacuum: 'vacuum test',
  photo: 'photo',
  accepted: 'acceptance',
  note: 'note',
  withdrawn: 'taken back',
  settled: 'settled',
};

export const recordWords = (kind: RecordKind) => words[kind];
