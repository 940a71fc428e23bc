import type { Place } from '../surface/nearShots.ts';
import { distanceToEdge, onEdge, sideOf } from './polygon.ts';
import type { PavingTreatment, TreatmentZone } from './types.ts';

/** What is done to the pavement all over a project: one treatment, or zones of their own. */
export interface ProjectTreatment {
  /** Holds everywhere in a project without zones; null = nobody said. */
  everywhere: PavingTreatment | null;
  zones: readonly LaidZone[];
}

export interface LaidZone extends TreatmentZone {
  bounds: { west: number; south: number; east: number; north: number };
}

/**
 * `is`: one treatment all over the rim. `edge`: the treatment changes under the rim; `treatment` is that of the
 * centre, or null where the centre is in no zone. `none`: outside all zones, or nobody said what is done.
 * `several`: zones of different treatments lie over one another here.
 */
export type TreatmentAnswer =
  | { found: 'is'; treatment: PavingTreatment; zone: TreatmentZone | null }
  | { found: 'edge'; treatment: PavingTreatment | null; zone: TreatmentZone | null; under: Under }
  | { found: 'none'; zones: boolean; nearest: number | null }
  | { found: 'several'; names: string };

/** What lies under a rim at the edge of a zone. */
export interface Under {
  names: string;
  distance: number;
  treatments: PavingTreatment[];
}

export function layOutZones(zones: readonly TreatmentZone[]): LaidZone[] {
  return zones.map((zone) => {
    const bounds = { west: Infinity, south: Infinity, east: -Infinity, north: -Infinity };
    for (const [east, north] of zone.polygons.flat(2)) {
      bounds.west = Math.min(bounds.west, east);
      bounds.east = Math.max(bounds.east, east);
      bounds.south = Math.min(bounds.south, north);
      bounds.north = Math.max(bounds.north, north);
    }
    return { ...zone, bounds };
  });
}

const isNear = ({ bounds }: LaidZone, east: number, north: number, reach: number): boolean =>
  east >= bounds.west - reach &&
  east <= bounds.east + reach &&
  north >= bounds.south - reach &&
  north <= bounds.north + reach;

/** Places looked at round the rim. */
const clockPositions = 72;

/** The treatment of the pavement round a cover. */
export function treatmentAt({ everywhere, zones }: ProjectTreatment, place: Place): TreatmentAnswer {
  if (zones.length === 0) {
    return everywhere
      ? { found: 'is', treatment: everywhere, zone: null }
      : { found: 'none', zones: false, nearest: null };
  }
  const { east, north, rimRadius } = place;
  const near = zones.filter((zone) => isNear(zone, east, north, rimRadius + onEdge));
  const centre = zonesAt(near, east, north);
  const [zone = null] = [...centre.inside, ...centre.edge];
  if (different(centre.inside).length > 1) return { found: 'several', names: namesOf(centre.inside) };
  const distance = Math.min(Infinity, ...near.map((each) => distanceToEdge(each.polygons, east, north)));
  const under = distance < rimRadius ? underRim(near, place) : [zone];
  const treatments = different(under);
  if (treatments.length > 1) {
    const known = treatments.filter((each) => each !== null);
    return {
      found: 'edge',
      treatment: zone,
      zone,
      under: { names: namesOf(under), distance, treatments: known },
    };
  }
  const [only] = treatments;
  if (only) return { found: 'is', treatment: only, zone: only };
  return { found: 'none', zones: true, nearest: nearestZone(zones, east, north) };
}

function zonesAt(zones: readonly LaidZone[], east: number, north: number) {
  const sides = zones.map((zone) => ({ zone, side: sideOf(zone.polygons, east, north) }));
  const on = (side: 'inside' | 'edge') => sides.filter((each) => each.side === side).map((each) => each.zone);
  return { inside: on('inside'), edge: on('edge') };
}

/** Zones round the rim; null for a place outside them all. Places on an edge say nothing of either side. */
function underRim(zones: readonly LaidZone[], { east, north, rimRadius }: Place): (LaidZone | null)[] {
  const found = new Set<LaidZone | null>();
  for (let i = 0; i < clockPositions; i++) {
    const angle = (2 * Math.PI * (i + 0.5)) / clockPositions;
    const at = zonesAt(zones, east + rimRadius * Math.sin(angle), north + rimRadius * Math.cos(angle));
    for (const zone of at.inside) found.add(zone);
    if (at.inside.length === 0 && at.edge.length === 0) found.add(null);
  }
  return [...found];
}

/** One of each treatment; zones treated alike are one pavement. */
function different(zones: readonly (LaidZone | null)[]): (LaidZone | null)[] {
  const known = new Map<string, LaidZone | null>();
  for (const zone of zones) {
    const { millDepth, millClearance, maxRiser, lifts, setDown } = zone ?? {};
    const key = JSON.stringify(zone && [millDepth, millClearance, maxRiser, lifts, setDown]);
    if (!known.has(key)) known.set(key, zone);
  }
  return [...known.values()];
}

const namesOf = (zones: readonly (LaidZone | null)[]): string =>
  zones.map((zone) => (zone ? `"${zone.name}"` : 'no zone')).join(', ');

function nearestZone(zones: readonly LaidZone[], east: number, north: number): number | null {
  const least = Math.min(Infinity, ...zones.map((zone) => distanceToEdge(zone.polygons, east, north)));
  return Number.isFinite(least) ? least : null;
}
