import type { ColumnType, Generated, GeneratedAlways, JSONColumnType } from 'kysely';
import type { CoverPlan } from '#core/plan/types.ts';
import type { PolicyChoice } from '#shared/policy.ts';
import type { RimSource } from '#shared/rim-record.ts';
import type {
  ImportAnswers,
  ImportPreview,
  ImportState,
  ImportTarget,
  ShotUse,
} from '#shared/staged-import.ts';
import type { FieldStatus } from '#shared/status.ts';
import type { FieldRecordsTable, PhotosTable, VacuumTablesTable } from './field/tables.ts';
import type {
  PlanChangesTable,
  PlanCoversTable,
  PlanDraftCoversTable,
  PlanDraftsTable,
  PlansTable,
} from './plan/tables.ts';
import type { AgencyRingSuppliesTable, ProjectRingSuppliesTable } from './supply/tables.ts';

type CreatedAt = ColumnType<Date, never, never>;
type Optional<Value> = ColumnType<Value | null, Value | null | undefined, Value | null>;

export interface AgenciesTable {
  agency_id: string;
  name: string;
  length_display: 'in' | 'mm';
  policy: JSONColumnType<PolicyChoice, PolicyChoice | undefined, PolicyChoice>;
  created_at: CreatedAt;
}

export interface RingCataloguesTable {
  agency_id: string;
  ring_catalogue_id: string;
  name: string;
  unit: 'in' | 'mm';
  index_positions: number;
  index_from: 'road' | 'north';
  max_rings: number;
  max_chimney_m: number;
  joint_base_m: number;
  joint_between_m: number;
  joint_top_m: number;
  created_at: CreatedAt;
  supply_spare_share: Optional<number>;
  supply_version: Generated<number>;
}

export interface RingsTable {
  agency_id: string;
  ring_catalogue_id: string;
  position: number;
  ring_id: string;
  thin_m: number;
  thick_m: number;
  outer_diameter_m: number;
  max_per_stack: number;
  cost: Optional<number>;
  mass_kg: Optional<number>;
}

export interface ProjectsTable {
  agency_id: string;
  project_id: string;
  name: string;
  crs: string;
  elevation_unit: 'm' | 'ft' | 'us-ft';
  display_unit: 'in' | 'mm';
  policy: JSONColumnType<PolicyChoice, PolicyChoice | undefined, PolicyChoice>;
  mill_depth_m: Generated<number>;
  mill_clearance_m: Generated<number>;
  max_riser_m: Generated<number>;
  /** Compacted thicknesses, bottom lift first; null: not said. */
  lifts_m: JSONColumnType<number[] | null, number[] | null | undefined, number[] | null>;
  set_down_m: Optional<number>;
  ring_catalogue_id: Optional<string>;
  input_revision: Generated<number>;
  plan_revision: Generated<number>;
  planned_input_revision: Generated<number>;
  /** The last `seq` that a record from the field was given. */
  field_seq: Generated<number>;
  version: Generated<number>;
  created_at: CreatedAt;
  supply_spare_share: Optional<number>;
  supply_version: Generated<number>;
  /** When somebody asked to delete it; its rows are going since then. */
  deleting_since: Optional<Date>;
}

export interface ImportBatchesTable {
  agency_id: string;
  import_batch_id: string;
  project_id: string;
  /** null until the file was understood. */
  kind: Optional<'structures' | 'shots' | 'design' | 'lines' | 'grid'>;
  file_name: string;
  file_sha256: Optional<string>;
  new_rows: Generated<number>;
  changed_rows: Generated<number>;
  same_rows: Generated<number>;
  refused_rows: Generated<number>;
  state: Generated<ImportState>;
  /** The latest thing that happened, for people. */
  said: Generated<string>;
  /** The work in hand; a job with another one has nothing to do any more. */
  run_id: Optional<string>;
  /** How often the server ended in the middle of the work in hand. */
  interruptions: Generated<number>;
  target: JSONColumnType<ImportTarget, ImportTarget | undefined, ImportTarget>;
  answers: JSONColumnType<ImportAnswers, ImportAnswers | undefined, ImportAnswers>;
  /** Answers given for a file like it, and the codes known then. */
  remembered: JSONColumnType<ImportAnswers | null, ImportAnswers | null | undefined, ImportAnswers | null>;
  preview: JSONColumnType<ImportPreview | null, ImportPreview | null | undefined, ImportPreview | null>;
  progress_done: Generated<number>;
  progress_total: Generated<number>;
  surface_ids: JSONColumnType<string[], string[] | undefined, string[]>;
  created_at: CreatedAt;
  updated_at: ColumnType<Date, Date | undefined, Date>;
  kept_until: ColumnType<Date | null, Date | null | undefined, Date | null>;
}

export interface ImportFilesTable {
  agency_id: string;
  import_batch_id: string;
  number: number;
  name: string;
  size_bytes: number;
  sha256: Optional<string>;
}

export interface ImportEventsTable {
  agency_id: string;
  import_batch_id: string;
  event_id: Generated<number>;
  state: ImportState;
  text: string;
  created_at: CreatedAt;
}

export interface ImportChangesTable {
  agency_id: string;
  import_batch_id: string;
  kind: 'structure' | 'cover' | 'line' | 'surface';
  row_key: string;
  /** null: the import made the row. */
  before: JSONColumnType<
    Record<string, unknown> | null,
    Record<string, unknown> | null | undefined,
    Record<string, unknown> | null
  >;
  after_version: Optional<number>;
}

export interface ImportMemoriesTable {
  agency_id: string;
  fingerprint: string;
  file_name: string;
  answers: JSONColumnType<ImportAnswers, ImportAnswers, ImportAnswers>;
  updated_at: ColumnType<Date, Date | undefined, Date>;
}

export interface CodeMapsTable {
  agency_id: string;
  code: string;
  role: ShotUse;
  file_name: string;
  updated_at: ColumnType<Date, Date | undefined, Date>;
}

export interface StructuresTable {
  agency_id: string;
  structure_id: string;
  kind: string;
  owner: Optional<string>;
  street: Optional<string>;
  lon: number;
  lat: number;
  cell: number;
  crs: string;
  easting_m: number;
  northing_m: number;
  seat_elevation_m: number | null;
  seat_gradient_east: Generated<number>;
  seat_gradient_north: Generated<number>;
  rim_elevation_m: Optional<number>;
  frame_height_m: number;
  rim_diameter_m: number;
  road_bearing_deg: Optional<number>;
  set_down_m: Generated<number>;
  adjustment: Generated<'rings' | 'telescoping'>;
  located: Optional<boolean>;
  chimney_unsound: Optional<boolean>;
  frame_unsound: Optional<boolean>;
  structure_depth_m: Optional<number>;
  structure_diameter_m: Optional<number>;
  accessible_route: Optional<boolean>;
  /** Rim less seat less frame. */
  buildup_m: GeneratedAlways<number | null>;
  import_batch_id: Optional<string>;
  version: Generated<number>;
  updated_at: ColumnType<Date, never, Date>;
}

export interface StructureEventsTable {
  agency_id: string;
  structure_id: string;
  event_id: Generated<number>;
  kind: 'created' | 'imported' | 'changed' | 'planned' | 'note' | 'field';
  detail: JSONColumnType<Record<string, unknown>, Record<string, unknown>, never>;
  created_at: CreatedAt;
}

export interface RimRecordsTable {
  agency_id: string;
  structure_id: string;
  rim_record_id: Generated<number>;
  /** YYYY-MM-DD */
  date: string;
  rim_elevation_m: number;
  pavement_elevation_m: Optional<number>;
  seat_elevation_m: Optional<number>;
  frame_height_m: Optional<number>;
  source: RimSource;
  who: Optional<string>;
  note: Optional<string>;
  import_batch_id: Optional<string>;
  /** Of the acceptance that brought it. */
  field_record_id: Optional<string>;
  created_at: CreatedAt;
  withdrawn_at: ColumnType<Date | null, never, Date>;
}

export interface ProjectCoversTable {
  agency_id: string;
  project_id: string;
  structure_id: string;
  easting_m: number;
  northing_m: number;
  station_m: Optional<number>;
  offset_m: Optional<number>;
  road_bearing_deg: Optional<number>;
  status: Optional<CoverPlan['status']>;
  /** Revision of the plan that the cover has its outcome from. */
  plan_revision: Optional<number>;
  net_buildup_m: Optional<number>;
  worst_m: Optional<number>;
  /** Surfaces that the finished grade comes from. */
  surface_ids: Optional<string[]>;
  inputs_hash: Optional<number>;
  outcome_hash: Optional<number>;
  field_status: Optional<FieldStatus>;
  /** Inputs changed after the stack was put together in the field. */
  plan_stale: Generated<boolean>;
  /** Of the cover's latest record from the field. */
  field_seq: Optional<number>;
  field_conflict: Generated<boolean>;
  /** That lies over the opening now. */
  plate: Optional<string>;
  plated_at: Optional<Date>;
  crew: Optional<string>;
  /** Night of the work, as YYYY-MM-DD. */
  night: ColumnType<string | null, string | null | undefined, string | null>;
  cell: GeneratedAlways<number>;
}

export interface SurfacesTable {
  agency_id: string;
  project_id: string;
  surface_id: string;
  name: string;
  stage: 'existing' | 'milled' | 'lift' | 'finished';
  method: Optional<string>;
  form: Generated<'shots' | 'faces'>;
  /** Which lift's top it was, from 1; null where the stage is no lift or nobody said. */
  lift: Optional<number>;
  /** Day it was shot or issued, as YYYY-MM-DD. */
  epoch: ColumnType<string | null, string | null | undefined, string | null>;
  elevation_unit: Optional<'m' | 'ft' | 'us-ft'>;
  vertical_datum: Optional<string>;
  face_count: Generated<number>;
  version: Generated<number>;
  /** The import that made the surface; null where it was made otherwise. */
  import_batch_id: Optional<string>;
  /** Of the faces; null for shots. */
  content_sha256: Optional<string>;
  created_at: CreatedAt;
}

/** Part of a triangulated surface; see the migration for the bytes. */
export interface FaceBlocksTable {
  agency_id: string;
  project_id: string;
  surface_id: string;
  block: number;
  points: Uint8Array;
  faces: Uint8Array;
  face_count: number;
  west_m: number;
  south_m: number;
  east_m: number;
  north_m: number;
  import_batch_id: Optional<string>;
}

export interface LinesTable {
  agency_id: string;
  project_id: string;
  line_id: string;
  kind: 'centre' | 'crown' | 'gutter' | 'edge' | 'other';
  name: string;
  street: Optional<string>;
  positions: JSONColumnType<GridPosition[], GridPosition[], GridPosition[]>;
  import_batch_id: Optional<string>;
  created_at: CreatedAt;
  version: Generated<number>;
}

/** Metres in the project's grid; the elevation may be unknown. */
export type GridPosition = [easting: number, northing: number, elevation: number | null];

export interface TreatmentZonesTable {
  agency_id: string;
  project_id: string;
  treatment_zone_id: string;
  name: string;
  polygons: JSONColumnType<GridPolygon[], GridPolygon[], GridPolygon[]>;
  mill_depth_m: number;
  /** Compacted thicknesses, bottom lift first. */
  lifts_m: JSONColumnType<number[], number[], number[]>;
  set_down_m: Optional<number>;
  mill_clearance_m: Optional<number>;
  max_riser_m: Optional<number>;
  created_at: CreatedAt;
  version: Generated<number>;
}

/** Outer ring, then holes; each closed, [easting, northing] in metres. */
export type GridPolygon = [easting: number, northing: number][][];

export interface ShotsTable {
  agency_id: string;
  project_id: string;
  surface_id: string;
  point: string;
  ordinal: number;
  easting_m: number;
  northing_m: number;
  elevation_m: number;
  code: string;
  role: 'surface' | 'crown' | 'edge' | 'gutter' | 'rim' | 'seat';
  sigma_m: Optional<number>;
  cell: number;
  import_batch_id: Optional<string>;
}

export interface StreetsTable {
  agency_id: string;
  street_id: string;
  name: string;
  width_m: Optional<number>;
  /** [lon, lat] pairs, drawn up-station. */
  line: JSONColumnType<[number, number][], [number, number][], [number, number][]>;
}

export interface JobsTable {
  agency_id: string;
  job_id: string;
  project_id: string;
  kind: 'plan' | 'deletion';
  state: 'queued' | 'running' | 'done' | 'failed' | 'cancelled';
  done: Generated<number>;
  total: Generated<number>;
  error: Optional<string>;
  plan_revision: Optional<number>;
  unchanged: Generated<boolean>;
  warnings: JSONColumnType<string[], string[] | undefined, string[]>;
  created_at: CreatedAt;
  started_at: Optional<Date>;
  finished_at: Optional<Date>;
  /** Covers that were planned anew. */
  planned: Generated<number>;
  /** The plan comes into force: it cannot be cancelled any more. */
  is_entering: Generated<boolean>;
}

export interface Tables {
  agencies: AgenciesTable;
  ring_catalogues: RingCataloguesTable;
  rings: RingsTable;
  projects: ProjectsTable;
  import_batches: ImportBatchesTable;
  import_files: ImportFilesTable;
  import_events: ImportEventsTable;
  import_changes: ImportChangesTable;
  import_memories: ImportMemoriesTable;
  code_maps: CodeMapsTable;
  structures: StructuresTable;
  structure_events: StructureEventsTable;
  rim_records: RimRecordsTable;
  project_covers: ProjectCoversTable;
  surfaces: SurfacesTable;
  shots: ShotsTable;
  face_blocks: FaceBlocksTable;
  lines: LinesTable;
  treatment_zones: TreatmentZonesTable;
  streets: StreetsTable;
  jobs: JobsTable;
  plans: PlansTable;
  plan_covers: PlanCoversTable;
  plan_changes: PlanChangesTable;
  plan_drafts: PlanDraftsTable;
  plan_draft_covers: PlanDraftCoversTable;
  field_records: FieldRecordsTable;
  photos: PhotosTable;
  vacuum_tables: VacuumTablesTable;
  agency_ring_supplies: AgencyRingSuppliesTable;
  project_ring_supplies: ProjectRingSuppliesTable;
}
