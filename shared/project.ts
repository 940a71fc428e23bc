import Type, { type Static } from 'typebox';
import { lengthUnits } from './agency.ts';
import { Job } from './job.ts';
import { Limits, PolicyChoice } from './policy.ts';
import { EpsgCode, exact, Moment, nullable, oneOf, page, Slug } from './schema.ts';
import { Lifts, MillDepth, SetDown } from './treatment.ts';

export const elevationUnits = ['m', 'ft', 'us-ft'] as const;

const work = {
  millDepthM: MillDepth,
  millClearanceM: Type.Number({ minimum: 0, maximum: 0.5 }),
  maxRiserM: Type.Number({
    minimum: 0,
    maximum: 0.5,
    description: '0: risers in the frame are not allowed.',
  }),
};
const liftsUnlessUnknown = Type.Union([Lifts, Type.Null()], {
  description: 'null: what is laid is not known, so no finished grade is made from an earlier surface.',
});

/** What is done to the pavement of a project without treatment zones. */
export const Treatment = exact({ ...work, liftsM: liftsUnlessUnknown, setDownM: nullable(SetDown) });

/** What is left out is not known. */
export const TreatmentChoice = exact({
  ...work,
  liftsM: Type.Optional(liftsUnlessUnknown),
  setDownM: Type.Optional(nullable(SetDown)),
});

export const Project = exact({
  id: Slug,
  agencyId: Slug,
  name: Type.String(),
  crs: EpsgCode,
  crsName: Type.String(),
  /** Metres in one unit of the CRS's axes; grid positions in this API are metres all the same. */
  metresPerUnit: Type.Number(),
  elevationUnit: oneOf(elevationUnits),
  displayUnit: oneOf(lengthUnits),
  limits: Limits,
  policy: PolicyChoice,
  treatment: Treatment,
  ringCatalogueId: nullable(Slug),
  /** West, south, east, north of its covers, degrees; null while it has none. */
  boundsLonLat: nullable(Type.Array(Type.Number(), { minItems: 4, maxItems: 4 })),
  coverCount: Type.Integer(),
  /** Covers with no plan yet are counted under `unplanned`. */
  statusCounts: Type.Record(Type.String(), Type.Integer()),
  planRevision: Type.Integer({ description: '0 until the first plan.' }),
  inputRevision: Type.Integer(),
  /** true: covers, shots, rings or limits changed since the plan in force was made. */
  planStale: Type.Boolean(),
  latestJob: nullable(Job),
  isBeingDeleted: Type.Boolean({
    description:
      'Its rows are going; nothing else is answered about it (410). Its latest job says how far that has come.',
  }),
  createdAt: Moment,
  version: Type.Integer({ description: 'The ETag holds it in double quotes.' }),
});

export const ProjectCreate = exact({
  id: Slug,
  name: Type.String({ minLength: 1, maxLength: 200 }),
  crs: EpsgCode,
  elevationUnit: oneOf(elevationUnits),
  displayUnit: oneOf(lengthUnits),
  policy: Type.Optional(PolicyChoice),
  treatment: Type.Optional(TreatmentChoice),
  ringCatalogueId: Type.Optional(nullable(Slug)),
});

export const ProjectPatch = exact({
  name: Type.Optional(Type.String({ minLength: 1, maxLength: 200 })),
  displayUnit: Type.Optional(oneOf(lengthUnits)),
  policy: Type.Optional(PolicyChoice),
  treatment: Type.Optional(TreatmentChoice),
  ringCatalogueId: Type.Optional(nullable(Slug)),
});

export const ProjectPage = page(Project);

/** What a project holds, all of which goes with it; structures stay in the register. */
export const ProjectHoldings = exact({
  covers: Type.Integer(),
  coversWithNight: Type.Integer({ description: 'Crews may have these on their phones.' }),
  surfaces: Type.Integer(),
  shots: Type.Integer(),
  lines: Type.Integer(),
  treatmentZones: Type.Integer(),
  plans: Type.Integer({ description: 'Plans that were in force, each with what covers were given by it.' }),
  imports: Type.Integer({ description: 'Files that were sent for it, and with them their undoing.' }),
  assignments: Type.Integer(),
  fieldRecords: Type.Integer({ description: 'While there are any the project cannot be deleted.' }),
});

export type Project = Static<typeof Project>;
export type ProjectHoldings = Static<typeof ProjectHoldings>;
export type ProjectCreate = Static<typeof ProjectCreate>;
export type ProjectPatch = Static<typeof ProjectPatch>;
export type Treatment = Static<typeof Treatment>;
