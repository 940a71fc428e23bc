import type { RecordKind } from '#core/field/facts.ts';
import { allOf, openPlate } from '../standing.ts';
import type { CoverRecord } from '../types.ts';

export type StepName =
  | 'find'
  | 'plate'
  | 'lift'
  | 'seat'
  | 'mortar'
  | 'spigot'
  | 'dry'
  | 'rings'
  | 'seal'
  | 'frame'
  | 'vacuum'
  | 'backfill'
  | 'collar'
  | 'rim'
  | 'edge'
  | 'bevel'
  | 'note';

export interface Step {
  step: StepName;
  word: string;
  kinds: readonly RecordKind[];
  /** Only where the cover asks for it: nothing waits for it. */
  isAsNeeded: boolean;
  /** Steps that usually come before. */
  after: readonly StepName[];
}

/** In the order in which the work goes. */
export const steps: readonly Step[] = [
  { step: 'find', word: 'Find it', kinds: ['found'], isAsNeeded: false, after: [] },
  {
    step: 'plate',
    word: 'Lower and plate',
    kinds: ['plated', 'reopened'],
    isAsNeeded: true,
    after: ['find'],
  },
  { step: 'lift', word: 'Paving stage', kinds: ['liftReached'], isAsNeeded: true, after: [] },
  { step: 'seat', word: 'Look at the seat', kinds: ['seatSeen'], isAsNeeded: true, after: ['find'] },
  { step: 'mortar', word: 'Mortar bed on the seat', kinds: ['mortarBed'], isAsNeeded: true, after: ['find'] },
  { step: 'spigot', word: 'Trim a spigot', kinds: ['spigotTrimmed'], isAsNeeded: true, after: ['find'] },
  { step: 'dry', word: 'Dry stack', kinds: ['dryStacked'], isAsNeeded: false, after: ['find'] },
  { step: 'seal', word: 'Seal the joints', kinds: ['sealed'], isAsNeeded: false, after: ['dry'] },
  { step: 'rings', word: 'Rings in place', kinds: ['ringsUsed'], isAsNeeded: false, after: ['dry'] },
  { step: 'frame', word: 'Frame set', kinds: ['frameSet'], isAsNeeded: false, after: ['seal', 'rings'] },
  { step: 'vacuum', word: 'Vacuum test', kinds: ['vacuum'], isAsNeeded: true, after: ['frame'] },
  { step: 'backfill', word: 'Backfill', kinds: ['backfilled'], isAsNeeded: false, after: ['frame'] },
  { step: 'collar', word: 'Collar and cure', kinds: ['collarPlaced'], isAsNeeded: true, after: ['backfill'] },
  { step: 'rim', word: 'Rim round the clock', kinds: ['rimChecked'], isAsNeeded: false, after: ['frame'] },
  { step: 'edge', word: 'Straightedge', kinds: ['straightedge'], isAsNeeded: false, after: ['rim'] },
  { step: 'bevel', word: 'Bevel at the rim', kinds: ['bevelled'], isAsNeeded: true, after: ['rim'] },
  { step: 'note', word: 'Note', kinds: ['note'], isAsNeeded: true, after: [] },
];

export const stepOf = (name: StepName): Step => steps.find(({ step }) => step === name)!;

export const stepOfKind = (kind: RecordKind): Step | null =>
  steps.find(({ kinds }) => kinds.includes(kind)) ?? null;

export const recordsOf = (step: Step, records: readonly CoverRecord[]) =>
  step.kinds.flatMap((kind) => allOf(records, kind)).sort((a, b) => a.deviceTime.localeCompare(b.deviceTime));

/** What usually comes before this step and is not recorded: allowed, but said. A plate that is still on comes first. */
export function missingBefore(step: Step, records: readonly CoverRecord[]): string[] {
  const missing = step.after
    .map(stepOf)
    .filter((one) => recordsOf(one, records).length === 0)
    .map(({ word }) => word);
  const needsOpen: readonly StepName[] = ['dry', 'seal', 'rings', 'frame', 'rim'];
  return openPlate(records) !== null && needsOpen.includes(step.step)
    ? ['Reopen the plate', ...missing]
    : missing;
}

/** What usually comes next: the first step that every cover needs and that is not recorded; null once all are. */
export function nextStep(records: readonly CoverRecord[]): StepName | null {
  if (openPlate(records) !== null) return 'plate';
  return steps.find((step) => !step.isAsNeeded && recordsOf(step, records).length === 0)?.step ?? null;
}
