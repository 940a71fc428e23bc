import type { ColumnType, Generated, JSONColumnType } from 'kysely';
import type { CoverPlan } from '#core/plan/types.ts';
import type { SettledSigma } from '#core/surface/settledSigma.ts';

export interface PlansTable {
  agency_id: string;
  project_id: string;
  revision: number;
  /** Of all that the covers' plans have in common. */
  common_hash: Generated<string>;
  shot_sigmas: JSONColumnType<SigmaChoices, SigmaChoices, never>;
  job_id: string;
  created_at: ColumnType<Date, never, never>;
}

/** Sigma of a shot as it was settled for a whole survey, by the ids of its surfaces. */
export type SigmaChoices = Record<string, SettledSigma>;

/** Cells in which inputs changed with a revision; of a revision without any, they changed anywhere. */
export interface PlanChangesTable {
  agency_id: string;
  project_id: string;
  input_revision: number;
  cell: number;
  is_far: boolean;
}

/** A plan that is being made. */
export interface PlanDraftsTable {
  agency_id: string;
  project_id: string;
  revision: number;
  job_id: string;
  input_revision: number;
  common_hash: string;
  shot_sigmas: JSONColumnType<SigmaChoices, SigmaChoices, never>;
  strips_done: Generated<number[]>;
  covers_done: Generated<number>;
  /** Covers in `plan_draft_covers`. */
  rows_laid: Generated<number>;
}

/** What each cover of a draft is to be given; written by COPY and read by SQL alone. */
export interface PlanDraftCoversTable {
  agency_id: string;
  project_id: string;
}

export interface PlanCoversTable {
  agency_id: string;
  project_id: string;
  structure_id: string;
  revision: number;
  status: string;
  outcome: JSONColumnType<CoverPlan, CoverPlan, never>;
}
