import type { ColumnType, JSONColumnType } from 'kysely';
import type { RecordKind } from '#core/field/facts.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';

/** Rows are added and never changed. */
export interface FieldRecordsTable {
  agency_id: string;
  project_id: string;
  record_id: string;
  structure_id: string;
  seq: number;
  kind: RecordKind;
  facts: JSONColumnType<Record<string, unknown>, Record<string, unknown>, never>;
  made_by: string;
  device: string;
  device_time: Date;
  received_at: Date;
  seen: number;
}

export interface PhotosTable {
  agency_id: string;
  sha256: string;
  bytes: number;
  media_type: string;
  complete: boolean;
  created_at: ColumnType<Date, never, never>;
}

export interface VacuumTablesTable {
  agency_id: string;
  vacuum_table_id: string;
  definition: JSONColumnType<VacuumTable, VacuumTable, VacuumTable>;
  updated_at: ColumnType<Date, Date | undefined, Date>;
}
