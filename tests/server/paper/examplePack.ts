import type { AnyKept, Facts, RecordKind } from '#core/field/facts.ts';
import { holding, latest } from '../../../server/paper/facts.ts';
import { packRows } from '../../../server/paper/pack/rows.ts';
import type { PackCover, PackSetting } from '../../../server/paper/pack/types.ts';
import { catalogue, exampleCover, exampleSetting } from './example.ts';

let seq = 0;

/** A record as the server keeps it, received some minutes after it was made. */
export function kept<Kind extends RecordKind>(kind: Kind, facts: Facts[Kind]): AnyKept {
  seq += 1;
  const minute = String(seq % 60).padStart(2, '0');
  return {
    id: `00000000-0000-4000-8000-${String(seq).padStart(12, '0')}`,
    structureId: 'MH-207',
    kind,
    facts,
    by: 'J. Roe',
    device: '00000000-0000-4000-9000-000000000001',
    deviceTime: `2026-11-27T01:${minute}:00Z`,
    seen: 0,
    seq,
    receivedAt: '2026-11-27T06:30:00Z',
  } as AnyKept;
}

export const asBuilt: AnyKept[] = [
  kept('ringsUsed', {
    stack: [
      { ring: 'FL-3', azimuthDeg: null },
      { ring: 'TP-A', azimuthDeg: 6 },
    ],
    asChosen: true,
    reason: '',
  }),
  kept('sealed', {
    joints: [
      { joint: 0, form: 'rope', product: 'Example rope', sizeM: 0.0127, count: 2, endsJoined: true },
      { joint: 1, form: 'rope', product: 'Example rope', sizeM: 0.0127, count: 1, endsJoined: false },
    ],
  }),
  kept('vacuum', {
    tableId: 'example',
    scope: 'structure',
    diameterM: 1.2,
    depthM: 3,
    headAt: 'frame',
    frameInPlace: true,
    startInHg: 10,
    endInHg: 8.5,
    seconds: 60,
    requiredSeconds: 60,
    gauge: 'G-4',
    outcome: 'failed',
    reason: 'leak at joint 1',
  }),
  kept('vacuum', {
    tableId: 'example',
    scope: 'structure',
    diameterM: 1.2,
    depthM: 3,
    headAt: 'frame',
    frameInPlace: true,
    startInHg: 10,
    endInHg: 9.4,
    seconds: 60,
    requiredSeconds: 60,
    gauge: 'G-4',
    outcome: 'passed',
    reason: '',
  }),
  kept('rimChecked', { method: 'level', rimErrorsM: [0.0016, -0.001, -0.0032, -0.0006], sigmaM: 0.001 }),
];

export function examplePackCover(records: readonly AnyKept[], change: Partial<PackCover> = {}): PackCover {
  const { structure, stationM, offsetM, roadBearingDeg, plan } = exampleCover();
  const held = holding(records);
  return {
    structure,
    stationM,
    offsetM,
    roadBearingDeg,
    plan,
    verdict: {
      state: 'accepted',
      reasons: ['The rim is within its limits all round.'],
      said: {
        by: 'A. Example, engineer',
        deviceTime: '2026-11-27T09:00:00Z',
        receivedAt: '2026-11-27T09:00:01Z',
      },
    },
    rim: latest(held, 'rimChecked'),
    allowed: { proudM: 0.00635, lowM: 0.00635 },
    rows: packRows({
      held,
      catalogue,
      bearingDeg: roadBearingDeg,
      offsetM,
      units: exampleSetting.units,
      asked: { vacuum: true, straightedge: true },
      vacuumTable: null,
      sourceOf: (id) => (id === 'example' ? 'Example specification, section 4' : null),
    }),
    photos: [],
    ...change,
  };
}

export const examplePackSetting: PackSetting = {
  agency: 'Mossvale',
  project: 'Quay Lane overlay',
  street: 'Tallow Street',
  limits: [
    { name: 'Proud, at most', value: '1⁄4 in', whose: 'the agency’s' },
    { name: 'Vacuum test', value: 'asked for', whose: 'the agency’s' },
  ],
  units: exampleSetting.units,
  printedAt: exampleSetting.printedAt,
};
