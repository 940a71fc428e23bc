import { metresPer } from '#core/units/length.ts';
import type { PolicyChoice } from '#shared/policy.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';

/** A night's work in the invented town: the first covers of the overlay's first street that has so many. */
export const demoCrew = 'Crew Lantern';
export const coversOfNight = 12;

/** Invented sizes, as of rings of 34 in round an opening of 24 in; ropes in rolls of 12 ft. */
export const demoSealant = {
  sealCircleM: 29 * metresPer.in,
  sealRollM: 12 * metresPer.ft,
  sealThickRollM: 12 * metresPer.ft,
} satisfies PolicyChoice;

/** Invented values; a real table comes from the agency's own standard. */
export const demoVacuumTable: VacuumTable = {
  id: 'demo-vacuum-test',
  name: 'Demo vacuum test',
  source: 'Invented for the demo: not to be used for a real test',
  scope: 'structure',
  diameterUnit: 'in',
  depthUnit: 'ft',
  drawInHg: 10,
  startInHg: 10,
  endInHg: 9,
  settleSeconds: 0,
  passes: 'atLeast',
  headAt: 'frame',
  frameInPlace: true,
  rows: [48, 60, 72].flatMap((diameter) =>
    [
      { from: 0, to: 10, seconds: diameter - 7 },
      { from: 10, to: null, seconds: diameter + 11 },
    ].map(({ from, to, seconds }) => ({
      diameter,
      depth: { from, to, includesFrom: true, includesTo: false },
      seconds,
      secondsPerDepth: 0,
    })),
  ),
};
