/** Of one ring; null where it is not said there. */
interface SupplyFigures {
  ring_catalogue_id: string;
  ring_id: string;
  pack: number | null;
  spare_share: number | null;
  spare_at_least: number | null;
  on_hand: number | null;
}

export interface AgencyRingSuppliesTable extends SupplyFigures {
  agency_id: string;
}

export interface ProjectRingSuppliesTable extends SupplyFigures {
  agency_id: string;
  project_id: string;
}
