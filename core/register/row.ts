import type { Projection } from '../crs/crs.ts';
import { normaliseAzimuth, radians } from '../units/slope.ts';
import { aboveZero, bearing, type Cells, gradient, latitude, longitude, notNegative } from './cells.ts';
import type { RegisterRow } from './types.ts';

/** Reads the cells of one row; a fault is left in `cells.fault`, and the row is then not to be used. */
export function readRow(cells: Cells, row: number, projection: Projection | null): RegisterRow {
  const id = cells.text('id');
  if (id === null) cells.refuse('missing', 'id', 'a structure needs an id');
  const facing = cells.number('road_bearing', bearing);
  return {
    row,
    id: id ?? '',
    kind: cells.text('kind') ?? '',
    owner: cells.text('owner'),
    street: cells.text('street'),
    ...readPlace(cells, projection),
    rimElevation: cells.elevation('rim_elevation'),
    seatElevation: cells.elevation('seat_elevation'),
    frameHeight: cells.number('frame_height', aboveZero),
    rimDiameter: cells.number('rim_diameter', aboveZero),
    roadBearing: facing === null ? null : normaliseAzimuth(radians(facing)),
    setDown: cells.number('set_down', notNegative) ?? 0,
    adjustment: readAdjustment(cells),
    seatGradient: [
      cells.number('seat_gradient_east', gradient) ?? 0,
      cells.number('seat_gradient_north', gradient) ?? 0,
    ],
    structureDepth: cells.number('structure_depth', aboveZero),
    structureDiameter: cells.number('structure_diameter', aboveZero),
    condition: {
      located: cells.flag('located'),
      chimneyUnsound: cells.flag('chimney_unsound'),
      frameUnsound: cells.flag('frame_unsound'),
    },
  };
}

/** Grid coordinates win over longitude and latitude. 0,0 is what programs write for none, in either. */
function readPlace(
  cells: Cells,
  projection: Projection | null,
): Pick<RegisterRow, 'east' | 'north' | 'lonLat'> {
  const east = cells.number('easting');
  const north = cells.number('northing');
  const lon = cells.number('lon', longitude);
  const lat = cells.number('lat', latitude);
  if ((east === null) !== (north === null)) {
    cells.refuse(
      'missing',
      east === null ? 'easting' : 'northing',
      'one coordinate without the other is no place',
    );
  }
  if ((lon === null) !== (lat === null)) {
    cells.refuse('missing', lon === null ? 'lon' : 'lat', 'one coordinate without the other is no place');
  }
  const lonLat = lon === null || lat === null || (lon === 0 && lat === 0) ? null : ([lon, lat] as const);
  if (east !== null && north !== null && (east !== 0 || north !== 0)) return { east, north, lonLat };
  if (lonLat === null || projection === null) return { east: null, north: null, lonLat };
  const [gridEast, gridNorth] = projection.fromLonLat(...lonLat);
  if (!Number.isFinite(gridEast) || !Number.isFinite(gridNorth)) {
    cells.refuse('outsideProjection', 'lon', "this place cannot be shown in the project's coordinate system");
  }
  return { east: gridEast, north: gridNorth, lonLat };
}

function readAdjustment(cells: Cells): RegisterRow['adjustment'] {
  const text = cells.text('adjustment')?.toLowerCase() ?? 'rings';
  if (text !== 'rings' && text !== 'telescoping') {
    cells.refuse('choice', 'adjustment', 'must be rings or telescoping; blank is rings');
    return 'rings';
  }
  return text;
}
