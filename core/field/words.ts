import type { RecordKind } from './facts.ts';
import type { FieldWarning } from './walk.ts';

/** What a step is called in a sentence. */
export const stepWords: Readonly<Record<RecordKind, string>> = {
  found: 'the finding',
  plated: 'the plate',
  reopened: 'the reopening',
  liftReached: 'the lift stage',
  stackChosen: 'the choice of the stack',
  dryStacked: 'the dry stack',
  ringsUsed: 'the rings used',
  sealed: 'the sealing',
  spigotTrimmed: 'the trimming of the spigot',
  seatSeen: 'the look at the seat',
  mortarBed: 'the mortar bed',
  frameSet: 'the setting of the frame',
  backfilled: 'the backfill',
  collarPlaced: 'the collar',
  rimChecked: 'the check of the rim',
  straightedge: 'the straightedge',
  bevelled: 'the bevel',
  vacuum: 'the vacuum test',
  photo: 'the photo',
  accepted: 'the acceptance',
  note: 'the note',
  withdrawn: 'the taking back',
  settled: 'the settlement',
};

const sentences: Record<FieldWarning['code'], (warning: FieldWarning) => string> = {
  outOfOrder: ({ record, values }) =>
    `${capital(stepWords[record.kind])} was recorded after ${stepWords[values.after as RecordKind]}.`,
  platedTwice: ({ values }) => `It was plated again while plate ${values.plate} was not reopened.`,
  reopenedWithoutPlate: () => 'It was reopened, and no plate had been recorded.',
  reopenedOther: ({ values }) =>
    `Plate ${values.named} was recorded as reopened; the plate here was ${values.plate}.`,
  reopenedUnseen: ({ values }) =>
    `Whoever recorded the reopening did not know of plate ${values.plate}: it counts as still in place.`,
  changedAfterAccepted: ({ record, values }) =>
    `${capital(stepWords[record.kind])} came after ${values.by} accepted it: it has to be accepted anew.`,
  testOvertaken: ({ record }) =>
    `${capital(stepWords[record.kind])} came after the vacuum test: what was tested is no more.`,
  namesNothing: ({ record }) =>
    `${capital(stepWords[record.kind])} by ${record.by} names no record that stands, and changes nothing.`,
  noSuchMoment: () => 'The moment it was placed at is none of the calendar: when it has cured is not known.',
};

const capital = (text: string) => text[0].toUpperCase() + text.slice(1);

/** One warning of core/field/coverState.ts as a sentence. */
export const sayWarning = (warning: FieldWarning): string => sentences[warning.code](warning);
