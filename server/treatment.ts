import { insideArea, makeProjection } from '#core/crs/crs.ts';
import { faultOfRing, sideOf, twiceArea } from '#core/treatment/polygon.ts';
import type { TreatmentZone as CoreZone } from '#core/treatment/types.ts';
import { layOutZones, type ProjectTreatment } from '#core/treatment/zones.ts';
import type { TreatmentZone, ZoneGeometry } from '#shared/treatment.ts';
import { badField } from './http-problem.ts';
import { crsOf, type ProjectHead } from './store/projects.ts';
import type { GridPolygon } from './store/tables.ts';
import type { StoredZone } from './store/treatment-zones.ts';

/** A drawn zone in the project's grid. Its corners are kept; its sides are straight in the grid. Throws a problem. */
export function toGrid(geometry: ZoneGeometry, project: ProjectHead): GridPolygon[] {
  const crs = crsOf(project.crs);
  const { fromLonLat } = makeProjection(crs);
  const several = geometry.type === 'MultiPolygon';
  const polygons = several ? geometry.coordinates : [geometry.coordinates];
  return polygons.map((polygon, p) =>
    polygon.map((ring, r) => {
      const path = `/geometry/coordinates/${several ? `${p}/` : ''}${r}`;
      const corners = ring.map(([lon, lat], c): [number, number] => {
        if (!insideArea(crs, lon, lat))
          throw badField(`${path}/${c}`, `lies outside the area of use of ${crs.name}`, [lon, lat]);
        return fromLonLat(lon, lat);
      });
      const fault = faultOfRing(corners);
      if (fault) throw badField(path, fault);
      return corners;
    }),
  );
}

export function toZone(
  zone: StoredZone,
  project: ProjectHead,
  covers: readonly { east: number; north: number }[],
): TreatmentZone {
  const { polygons, ...rest } = zone;
  const [{ bounds }] = layOutZones([toTreatmentZone(zone, project.treatment)]);
  const near = covers.filter(
    ({ east, north }) =>
      east >= bounds.west && east <= bounds.east && north >= bounds.south && north <= bounds.north,
  );
  const { toLonLat } = makeProjection(crsOf(project.crs));
  const coordinates = polygons.map((rings) =>
    rings.map((corners) => corners.map(([east, north]): number[] => toLonLat(east, north))),
  );
  const twice = polygons.map(([outer, ...holes]) =>
    holes.reduce((sum, hole) => sum - Math.abs(twiceArea(hole)), Math.abs(twiceArea(outer))),
  );
  return {
    ...rest,
    geometry:
      coordinates.length === 1
        ? { type: 'Polygon', coordinates: coordinates[0] }
        : { type: 'MultiPolygon', coordinates },
    areaM2: twice.reduce((sum, each) => sum + each / 2, 0),
    coverCount: near.filter(({ east, north }) => sideOf(polygons, east, north) !== 'outside').length,
  };
}

/** What is done to the pavement of a project as the computation takes it; zones have the project's own clearance. */
export function toProjectTreatment(
  { treatment }: ProjectHead,
  zones: readonly StoredZone[],
): ProjectTreatment {
  const { millDepthM, millClearanceM, maxRiserM, liftsM, setDownM } = treatment;
  return {
    everywhere: {
      millDepth: millDepthM,
      millClearance: millClearanceM,
      maxRiser: maxRiserM,
      lifts: liftsM,
      setDown: setDownM,
    },
    zones: layOutZones(zones.map((zone) => toTreatmentZone(zone, treatment))),
  };
}

function toTreatmentZone(
  { id, name, polygons, ...zone }: StoredZone,
  own: ProjectHead['treatment'],
): CoreZone {
  return {
    id,
    name,
    polygons,
    millDepth: zone.millDepthM,
    millClearance: zone.millClearanceM ?? own.millClearanceM,
    maxRiser: zone.maxRiserM ?? own.maxRiserM,
    lifts: zone.liftsM,
    setDown: zone.setDownM ?? own.setDownM,
  };
}
