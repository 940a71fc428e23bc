import { makeProjection } from '#core/crs/crs.ts';
import type { Treatment } from '#core/plan/types.ts';
import type { RegisterRow } from '#core/register/types.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import type { Shot } from '#core/surface/types.ts';
import { findCrs } from '../crs/epsg.ts';
import { placeOf } from './alignment.ts';
import { makeRingCatalogue } from './catalogue.ts';
import { overlay } from './limits.ts';
import { makeRandom } from './random.ts';
import { makeStreets, type Street } from './streets.ts';
import { makeStructures } from './structures.ts';
import { makeShots } from './survey.ts';

export interface TownStreet {
  id: string;
  name: string;
  /** Edge to edge of the pavement, metres. */
  widthM: number;
  /** Centre line in the project's grid, metres, up-station. */
  line: [east: number, north: number][];
  /** The same line in degrees, as GeoJSON wants it. */
  lonLat: [lon: number, lat: number][];
}

export interface ProjectCover {
  id: string;
  /** Id of a street. */
  street: string;
  /** Along the street's centre line. */
  stationM: number;
  /** Right of the centre line looking up-station; left is negative. */
  offsetM: number;
}

export interface Town {
  agency: { name: string };
  streets: TownStreet[];
  /** The whole register, metres in the grid of the project's system. */
  structures: RegisterRow[];
  project: {
    name: string;
    /** EPSG code with its authority. */
    crs: string;
    /** Unit of the elevations that people read. */
    elevationUnit: 'us-ft';
    treatment: Treatment;
    limits: { street: string; fromM: number; toM: number }[];
  };
  projectCovers: ProjectCover[];
  surface: { name: string; kind: 'finished' };
  shots: Shot[];
  ringCatalogue: RingCatalogue;
}

/** North Carolina in US survey feet: the invented town lies inland, in the middle of its area of use. */
export const townCrs = 'EPSG:2264';

/** An invented town with an overlay project, the same for the same seed. */
export function makeTown(seed: number): Town {
  const random = makeRandom(seed);
  const streets = makeStreets(random);
  const structures = makeStructures(streets, random);
  const shots = makeShots(streets, structures, random);
  return {
    agency: { name: 'City of Tarrowmere' },
    streets: drawStreets(streets),
    structures: structures.map(({ row }) => row),
    project: {
      name: 'Gantry Avenue and Weir Parkway overlay',
      crs: townCrs,
      elevationUnit: 'us-ft',
      // The surface is paved already and the covers are raised after it, so nothing is milled off any more.
      treatment: { millDepth: 0, millClearance: 0, maxRiser: 0 },
      limits: overlay.map(({ street, from, to }) => ({ street, fromM: from, toM: to })),
    },
    projectCovers: structures
      .filter(({ inOverlay }) => inOverlay)
      .map(({ row, street, place }) => ({
        id: row.id,
        street: street.id,
        stationM: place.station,
        offsetM: place.offset,
      })),
    surface: { name: 'Finished surface, levelled after paving', kind: 'finished' },
    shots,
    ringCatalogue: makeRingCatalogue(),
  };
}

/** Straight lines by their ends, curves by a point every 2 m, within 4 mm of the arc. */
function drawStreets(streets: readonly Street[]): TownStreet[] {
  const definition = findCrs(townCrs);
  if ('message' in definition) throw new Error(definition.message);
  const { toLonLat } = makeProjection(definition);
  return streets.map(({ id, name, width, line }) => {
    const steps = line.elements.some(({ curvature }) => curvature !== 0) ? Math.ceil(line.length / 2) : 1;
    const points = Array.from({ length: steps + 1 }, (_, step) =>
      placeOf(line, { station: (line.length * step) / steps, offset: 0 }),
    );
    const lonLat = points.map(([east, north]) => toLonLat(east, north));
    return { id, name, widthM: width, line: points, lonLat };
  });
}
