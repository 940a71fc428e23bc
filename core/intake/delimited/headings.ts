import { readHeading } from '../../units/heading.ts';
import type { LengthUnit } from '../../units/length.ts';

/** What a column of a point file means. */
export type ShotMeaning =
  | 'point'
  | 'northing'
  | 'easting'
  | 'elevation'
  | 'code'
  | 'sigma'
  | 'fix'
  | 'epoch'
  | 'lat'
  | 'lon';

const shotWords: Readonly<Record<ShotMeaning, string>> = {
  point:
    'punkt punktnr punkt_nr punktnummer punktno pnr pktnr pkt_nr matricule punto ponto punt puntnr puntnummer point point_number point_id point_name point_no pointno pt pt_no pt_id ptid p number no nr id name',
  northing:
    'northing north n y y0 y_coord ycoord point_y hochwert nord nordwert norte norden y_koordinate y_coordinaat y_coordinate coordy coord_y',
  easting:
    'easting east e x x0 x_coord xcoord point_x rechtswert ost ostwert este est oost oosten leste x_koordinate x_coordinaat x_coordinate coordx coord_x',
  elevation:
    'elevation elev el z z0 height level rl h hoehe hohe hoogte hojde altitud altitude_m cota cote quota kote z_koordinate z_coordinaat z_coordinate z_coord ground_elevation reduced_level alt altitude',
  code: 'code description desc d feature feature_code descriptor raw_description remark note attribute kode codigo codice descripcion descrizione descricao omschrijving bezeichnung beschreibung libelle',
  sigma: 'sigma vrms vsd sd_z std_z vertical_precision vprec',
  fix: 'fix fix_type solution solution_type gnss_fix quality rtk',
  epoch: 'epoch date surveyed surveyed_on measured_on time timestamp',
  lat: 'lat latitude',
  lon: 'lon long longitude lng',
};

const meaningOf = new Map<string, ShotMeaning>(
  Object.entries(shotWords).flatMap(([meaning, words]) =>
    words.split(' ').map((word) => [word, meaning as ShotMeaning] as const),
  ),
);

/** Words that only a register of structures has among its headings, as a whole word of the heading. */
const structureWords =
  /(^|_)(deckel|deckelhohe|deckelhoehe|schacht|schachtnr|schachtnummer|put|putnummer|putdeksel|putdekselhoogte|dekselhoogte|tampon|regard|pozo|tapa|pozzetto|chiusino|tampa|brunn|rim|seat|frame|cover|lid|casting|manhole|mh|structure|chamber|chimney|invert|inv|sump|barrel|depth|diameter|bearing|facility|asset|located|adjustment|set_down|buildup)(_|$)/;
/** Words that a register has more often than a point file. */
const registerWords = /(^|_)(owner|street|road|kind|type|material|condition|installed)(_|$)/;

/** Whether a heading is a word that point files or registers use. */
export function isKnownHeading({ name, meaning }: ReadColumn): boolean {
  return meaning !== null || structureWords.test(name) || registerWords.test(name);
}

/** Letters without their marks, so that `Höhe` and `Descripción` are found in lists of plain words. */
export const withoutAccents = (text: string): string =>
  text
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .replaceAll('ß', 'ss')
    .replaceAll('ø', 'o')
    .replaceAll('æ', 'ae');

export interface ReadColumn {
  heading: string;
  name: string;
  unit: LengthUnit | null;
  meaning: ShotMeaning | null;
}

export function readColumnHeading(heading: string): ReadColumn {
  const { name, unit } = readHeading(heading);
  const plain = withoutAccents(name.replace(/^"|"$/g, '')).replaceAll('-', '_');
  const degrees = /^(lat|lon|latitude|longitude)_deg$/.exec(plain);
  const meaning = meaningOf.get(degrees ? degrees[1] : plain) ?? null;
  return { heading: heading.trim(), name: plain, unit, meaning };
}

/**
 * Whether headings are those of a register of structures rather than of shots: words for parts of a structure, or ids
 * at places without an elevation.
 */
export function isRegister(columns: readonly ReadColumn[]): boolean {
  if (columns.some(({ name }) => structureWords.test(name))) return true;
  const has = (meaning: ShotMeaning): boolean => columns.some((column) => column.meaning === meaning);
  const isPointFile = has('code') || columns.some(({ name }) => /^(p|pt|point)(_|$)/.test(name));
  if (!isPointFile && columns.some(({ name }) => registerWords.test(name))) return true;
  if (has('elevation') && has('northing') && has('easting')) return false;
  const hasPlace = (has('northing') && has('easting')) || (has('lat') && has('lon'));
  return has('point') || (hasPlace && !has('elevation')) || !hasPlace;
}

/** Whether x and y stand in the headings: east and north in one country, north and east in another. */
export function hasBareAxes(columns: readonly ReadColumn[]): boolean {
  return columns.some(({ name }) =>
    /^(x0?|y0?|[xy]_?coord|point_[xy]|coord_?[xy]|[xy]_(koordinate|coordinaat|coordinate))$/.test(name),
  );
}
