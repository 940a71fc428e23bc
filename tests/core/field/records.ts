import type { AnyKept, AnyMade, Facts, RecordKind } from '#core/field/facts.ts';

/** Records made by hand for tests: `seq` grows with each, and a device has seen all before unless it is said otherwise. */

export const one = '00000000-0000-4000-8000-00000000000a';
export const two = '00000000-0000-4000-8000-00000000000b';

export interface Change {
  device?: string;
  seen?: number;
  id?: string;
  by?: string;
  deviceTime?: string;
}

let made = 0;
export const uuid = (): string => {
  made += 1;
  return `00000000-0000-4000-9000-${made.toString(16).padStart(12, '0')}`;
};

export function make<Kind extends RecordKind>(kind: Kind, facts: Facts[Kind], change: Change = {}): AnyMade {
  return {
    id: uuid(),
    structureId: 'MH-1',
    kind,
    facts,
    by: 'R. Holt',
    device: one,
    deviceTime: '2026-05-04T21:00:00.000Z',
    seen: 0,
    ...change,
  } as AnyMade;
}

/** Gives made records their places in the order in which they are listed. */
export function keep(records: readonly AnyMade[], from = 1): AnyKept[] {
  return records.map(
    (record, index) =>
      ({
        ...record,
        seen: record.seen === 0 ? from + index - 1 : record.seen,
        seq: from + index,
        receivedAt: '2026-05-05T06:00:00.000Z',
      }) as AnyKept,
  );
}

const ring = [{ ring: 'F2', azimuthDeg: null }];

/** Facts that say nothing special, by kind. */
export const plain: Facts = {
  found: { outcome: 'found', ties: [], note: '' },
  plated: { plate: 'P-7', rimElevationM: null, ties: [{ to: 'pole', distanceM: 4.2 }] },
  reopened: { plate: 'P-7' },
  liftReached: { stage: 'lift', lift: 1, way: 'raised', rimElevationM: null },
  stackChosen: {
    because: 'tapes',
    reason: '',
    tapes: null,
    truck: null,
    jointM: { base: 0.0025, between: 0.0025, top: 0.0025 },
    stack: ring,
    worstM: 0.001,
    centreM: 0,
    tiltM: 0.001,
    planRevision: 3,
    planStack: ring,
  },
  dryStacked: { rimErrorsM: [0, 0, 0, 0], marked: true },
  ringsUsed: { stack: ring, asChosen: true, reason: '' },
  sealed: { joints: [{ joint: 0, form: 'bead', product: 'A', sizeM: 0.012, count: 1, endsJoined: true }] },
  spigotTrimmed: { rings: ['F2'], why: 'offCentre' },
  seatSeen: { surface: 'even' },
  mortarBed: { thicknessM: 0.02, why: 'chipped', cureHours: 2 },
  frameSet: { centred: true, offsetM: null },
  backfilled: { material: 'gravel' },
  collarPlaced: { material: 'concrete', mix: 'C30', pouredAt: '2026-05-04T22:00:00Z', cureHours: 24 },
  rimChecked: { method: 'level', rimErrorsM: [0.001, 0, -0.001, 0], sigmaM: 0.001 },
  straightedge: { lengthM: 3, along: { gapM: 0.002, proudM: 0 }, across: null },
  bevelled: { riseM: 0.006, runM: 0.015 },
  vacuum: {
    tableId: 'demo',
    scope: 'structure',
    diameterM: 1.2192,
    depthM: 3,
    headAt: 'frame',
    frameInPlace: true,
    startInHg: 10,
    endInHg: 9.5,
    seconds: 60,
    requiredSeconds: 60,
    gauge: 'G-1',
    outcome: 'passed',
    reason: '',
  },
  photo: { sha256: 'a'.repeat(64), bytes: 10, mediaType: 'image/jpeg', caption: '' },
  accepted: { accepted: true, reasons: [], reason: '' },
  note: { text: 'dry' },
  withdrawn: { record: '', reason: 'mistyped' },
  settled: { keep: '', over: [], reason: 'looked again' },
};

export const off: Facts['rimChecked'] = {
  method: 'level',
  rimErrorsM: [0.012, 0.011, 0.01, 0.011],
  sigmaM: 0.001,
};

/** Kept records of these kinds with plain facts, one after the other. */
export const keepPlain = (kinds: readonly RecordKind[]): AnyKept[] =>
  keep(kinds.map((kind) => make(kind, plain[kind])));
