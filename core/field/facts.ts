/**
 * What is recorded at the hole. A fact is kept and sent as it was recorded, so its fields have the names of the HTTP
 * contract here too: lengths are metres (`...M`), azimuths degrees clockwise from grid north (`...Deg`).
 */

/** A ring in place, bottom-up; null for a flat one. The azimuth is that of the thick side. */
export interface RingFact {
  ring: string;
  azimuthDeg: number | null;
}

/** A tape from the cover's centre to something that will still be there. */
export interface Tie {
  to: string;
  distanceM: number;
}

/** At 12, 3, 6 and 9 o'clock looking up-station. */
export type RoundTheClock<Value> = [twelve: Value, three: Value, six: Value, nine: Value];

export interface TapesTaken {
  /** As the foreman typed them. */
  asTyped: RoundTheClock<string>;
  /** Down from string or straightedge on finished grade to the seat. */
  downM: RoundTheClock<number>;
  radiusM: number;
  /** Azimuth of 12 o'clock. */
  bearingDeg: number;
  misclosureM: number;
}

/** One sealed joint; joint 0 lies on the seat, joint n on ring n. */
export interface SealedJoint {
  joint: number;
  form: 'bead' | 'rope';
  product: string;
  /** Width of a bead, diameter of a rope. */
  sizeM: number;
  count: number;
  endsJoined: boolean;
}

/** From the edge's underside down to what lies under it, square to it, at a place along it from its near end. */
export interface StraightedgeReading {
  atM: number;
  /** 0 where the edge rests. */
  downM: number;
  on: 'mat' | 'casting';
}

/** What a straightedge shows along one line over cover and mat. */
export interface StraightedgeLine {
  /** Largest gap under it. */
  gapM: number;
  /** How far the rim or cover stands out of the mat under it; 0 for none. */
  proudM: number;
  /** Where the gap was read at places along it; what they show counts in place of the two figures. */
  readings?: StraightedgeReading[];
}

export interface Facts {
  found: {
    outcome: 'found' | 'notFound' | 'buried' | 'otherOwner';
    ties: Tie[];
    note: string;
  };
  /** Lowered, and a plate over the opening: stays on the list of plates until it is reopened. */
  plated: { plate: string; rimElevationM: number | null; ties: Tie[] };
  reopened: { plate: string };
  /** What was done with the frame at one stage of the paving. */
  liftReached: {
    stage: 'milled' | 'lift' | 'finished';
    /** Number of the lift from below; null but for `lift`. */
    lift: number | null;
    way: 'raised' | 'leftPlated' | 'leftLow';
    rimElevationM: number | null;
  };
  /** The stack that is built in place of the plan's: both are kept. */
  stackChosen: {
    because: 'tapes' | 'truck' | 'seal' | 'other';
    reason: string;
    tapes: TapesTaken | null;
    /** What is on the truck; null = the whole catalogue was taken to be there. */
    truck: { ring: string; count: number }[] | null;
    /** Thickness of the sealed joints that it was solved with. */
    jointM: { base: number; between: number; top: number };
    stack: RingFact[];
    worstM: number;
    centreM: number;
    tiltM: number;
    planRevision: number | null;
    planStack: RingFact[];
  };
  /** Stood together without sealant: rim minus target, + proud, and whether the stack was marked before it came apart. */
  dryStacked: { rimErrorsM: RoundTheClock<number>; marked: boolean };
  ringsUsed: { stack: RingFact[]; asChosen: boolean; reason: string };
  sealed: { joints: SealedJoint[] };
  /** The spigot only, never the bearing face. */
  spigotTrimmed: { rings: string[]; why: 'openingTooSmall' | 'offCentre' };
  /** How the bearing looks that the first ring comes on: sound, or it would be broken in the register. */
  seatSeen: { surface: 'even' | 'rough' };
  mortarBed: { thicknessM: number; why: string; cureHours: number };
  frameSet: { centred: boolean; offsetM: number | null };
  backfilled: { material: string };
  /** Traffic may come `cureHours` after `pouredAt`. */
  collarPlaced: { material: 'concrete' | 'asphalt'; mix: string; pouredAt: string; cureHours: number };
  /** Rim minus target, + proud. */
  rimChecked: {
    method: 'string' | 'level' | 'totalStation' | 'gnss';
    rimErrorsM: RoundTheClock<number>;
    /** Standard deviation of one of them. */
    sigmaM: number;
  };
  straightedge: { lengthM: number; along: StraightedgeLine; across: StraightedgeLine | null };
  /** Over a step at the rim: rise and run where the bevel is steepest. */
  bevelled: { riseM: number; runM: number };
  vacuum: {
    tableId: string | null;
    scope: 'structure' | 'chimney';
    diameterM: number | null;
    depthM: number | null;
    headAt: 'frame' | 'topRing' | 'seat';
    frameInPlace: boolean;
    startInHg: number | null;
    endInHg: number | null;
    seconds: number | null;
    requiredSeconds: number | null;
    gauge: string;
    outcome: 'passed' | 'failed' | 'notTested';
    reason: string;
  };
  /** The picture itself is sent apart and found by its hash. */
  photo: { sha256: string; bytes: number; mediaType: string; caption: string };
  /** The engineer's word, with the reasons that stood before him. */
  accepted: { accepted: boolean; reasons: string[]; reason: string };
  note: { text: string };
  /** Takes one record back; it stays readable. */
  withdrawn: { record: string; reason: string };
  /** Two records that contradict each other: which of them holds, by the word of a named person. */
  settled: { keep: string; over: string[]; reason: string };
}

export type RecordKind = keyof Facts;

/** In the order in which the work goes. */
export const recordKinds = [
  'found',
  'plated',
  'reopened',
  'liftReached',
  'stackChosen',
  'dryStacked',
  'ringsUsed',
  'sealed',
  'spigotTrimmed',
  'seatSeen',
  'mortarBed',
  'frameSet',
  'backfilled',
  'collarPlaced',
  'rimChecked',
  'straightedge',
  'bevelled',
  'vacuum',
  'photo',
  'accepted',
  'note',
  'withdrawn',
  'settled',
] as const satisfies readonly RecordKind[];

/** A record as its device made it. `Kind` ties the facts to the kind. */
export interface MadeRecord<Kind extends RecordKind = RecordKind> {
  /** UUID, made by the device: the same record sent twice is one record. */
  id: string;
  structureId: string;
  kind: Kind;
  facts: Facts[Kind];
  /** The person. */
  by: string;
  /** UUID of the phone or desk. */
  device: string;
  /** ISO 8601, UTC, by the device's clock. */
  deviceTime: string;
  /** Highest `seq` of this cover's records that the device had received when it made this one; 0 for none. */
  seen: number;
}

/** A record as the server keeps it. Records of a device keep the order in which it made them. */
export type KeptRecord<Kind extends RecordKind = RecordKind> = MadeRecord<Kind> & {
  /** Position in the project's order of receipt, from 1. */
  seq: number;
  receivedAt: string;
};

/** One record of any kind whose facts follow its kind. */
export type AnyMade = { [Kind in RecordKind]: MadeRecord<Kind> }[RecordKind];
export type AnyKept = { [Kind in RecordKind]: KeptRecord<Kind> }[RecordKind];
