import { readHeading } from '../../units/heading.ts';
import type { LengthUnit } from '../../units/length.ts';
import { withoutAccents } from '../delimited/headings.ts';
import type { Layer } from '../types.ts';
import type { Said } from '../understanding.ts';

/** What a column of a register can mean. Sizes need a unit of their own; elevations and places share the file's. */
export const structureMeanings = {
  id: 'text',
  kind: 'text',
  owner: 'text',
  street: 'text',
  condition_note: 'text',
  northing: 'place',
  easting: 'place',
  lat: 'degrees',
  lon: 'degrees',
  rim_elevation: 'elevation',
  seat_elevation: 'elevation',
  ground_elevation: 'elevation',
  /** What a plan asked for, beside a rim as built. */
  planned_elevation: 'elevation',
  invert_elevation: 'elevation',
  /** Of what, the heading does not say. */
  elevation: 'elevation',
  frame_height: 'size',
  rim_diameter: 'size',
  set_down: 'size',
  structure_depth: 'size',
  structure_diameter: 'size',
  road_bearing: 'bearing',
  seat_gradient_east: 'ratio',
  seat_gradient_north: 'ratio',
  adjustment: 'text',
  located: 'flag',
  chimney_unsound: 'flag',
  frame_unsound: 'flag',
} as const;

export type StructureMeaning = keyof typeof structureMeanings;

/** Headings as registers write them, the surest first. */
const words: readonly (readonly [StructureMeaning, string])[] = [
  [
    'id',
    'id structure_id structureid facility_id facilityid asset_id assetid manhole_id mh_id mhid cover_id node_id nodeid point_id unitid unit_id code name label tag structure mh manhole no number nr point schacht schachtnr schacht_nr schachtnummer deckel_nr deckelnr putnummer put_id putcode regard matricule pozo pozzetto chiusino numero gid fid objectid',
  ],
  ['kind', 'kind type structure_type subtype category class function system'],
  ['owner', 'owner owned_by operator ownedby'],
  [
    'street',
    'street street_name road road_name location address straat strasse strassenname straatnaam rue calle rua',
  ],
  ['condition_note', 'condition note notes remark remarks comment comments'],
  [
    'northing',
    'northing north n hochwert nord nordwert norte norden y y0 y_coord ycoord point_y coord_y coordy y_koordinate y_coordinaat y_coordinate',
  ],
  [
    'easting',
    'easting east e rechtswert ost ostwert este est oost oosten leste x x0 x_coord xcoord point_x coord_x coordx x_koordinate x_coordinaat x_coordinate',
  ],
  ['lat', 'lat latitude lat_deg'],
  ['lon', 'lon lng long longitude lon_deg'],
  [
    'rim_elevation',
    'rim_elevation rim_elev rim rimelev rim_el rim_level cover_level cover_elevation top_of_frame rim_z lid_level as_built_rim asbuilt_rim as_built_elevation asbuilt_elevation as_built_rim_elevation as_built asbuilt deckelhohe deckelhoehe deckeloberkante putdekselhoogte dekselhoogte cote_tampon cota_tapa quota_chiusino cota_tampa',
  ],
  ['seat_elevation', 'seat_elevation seat_elev seat seat_level cone_top'],
  [
    'ground_elevation',
    'ground_elevation ground_elev ground_level ground gl surface_elevation surface_level maaiveld maaiveldhoogte gelandehohe gelaendehoehe cote_terrain',
  ],
  [
    'planned_elevation',
    'planned_elevation planned_rim planned_rim_elevation design_elevation design_rim design_rim_elevation proposed_elevation proposed_rim proposed_rim_elevation target_elevation finished_grade',
  ],
  [
    'invert_elevation',
    'invert_elevation invert_elev invert inv_elev inv inv_level invert_level sump_elevation sump sohlhohe sohlhoehe sohle cote_radier cote_fil_d_eau quota_fondo bob',
  ],
  ['elevation', 'elevation elev el level z height altitude hohe hoehe hoogte cota cote quota kote altitud'],
  ['frame_height', 'frame_height frame frame_depth frame_ht casting_height casting_depth'],
  ['rim_diameter', 'rim_diameter rim_dia cover_diameter lid_diameter cover_size deckeldurchmesser'],
  ['set_down', 'set_down setdown'],
  ['structure_depth', 'structure_depth depth max_depth mh_depth manhole_depth'],
  ['structure_diameter', 'structure_diameter diameter dia barrel_diameter mh_diameter'],
  ['road_bearing', 'road_bearing road_bearing_deg bearing_deg'],
  ['seat_gradient_east', 'seat_gradient_east'],
  ['seat_gradient_north', 'seat_gradient_north'],
  ['adjustment', 'adjustment'],
  ['located', 'located found'],
  ['chimney_unsound', 'chimney_unsound'],
  ['frame_unsound', 'frame_unsound'],
];

export interface MappedColumn {
  name: string;
  index: number;
  meaning: StructureMeaning | null;
  unit: LengthUnit | null;
  from: 'heading' | 'given' | 'guess';
}

/** Meaning of every column of a register layer; no meaning is given twice. */
export function mapColumns(layer: Layer, said: Said): MappedColumn[] {
  const columns = layer.columns.map(({ name }, index): MappedColumn => {
    const given = said.meanings?.[name];
    const unit = said.columnUnits?.[name] ?? readHeading(name).unit;
    const meaning = given !== undefined && given !== null && given in structureMeanings ? given : null;
    return {
      name,
      index,
      meaning: meaning as StructureMeaning | null,
      unit,
      from: given === undefined ? 'heading' : 'given',
    };
  });
  for (const [meaning, list] of words) {
    if (columns.some((column) => column.meaning === meaning)) continue;
    for (const [rank, word] of list.split(' ').entries()) {
      const column = columns.find(
        (c) => c.meaning === null && c.from === 'heading' && plainName(c.name) === word,
      );
      if (column === undefined) continue;
      column.meaning = meaning;
      if (rank > 0 && meaning === 'id') column.from = 'guess';
      break;
    }
  }
  return columns;
}

function plainName(heading: string): string {
  const { name } = readHeading(heading.replace(/([a-z])([A-Z])/g, '$1_$2'));
  return withoutAccents(name).replace(/[-'’]/g, '_');
}
