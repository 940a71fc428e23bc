import type { LengthUnit } from '../units/length.ts';
import { metresPer } from '../units/length.ts';
import { canonical, methodOf, parameterOf } from './methods.ts';
import { childOf, nameOf, numberOf, parseWkt, type WktNode } from './wktTree.ts';

/** Angles in degrees, longitudes from the prime meridian of the system, false origins in metres. */
export interface ProjectionParameters {
  latitude: number;
  longitude: number;
  parallel1: number;
  parallel2: number;
  scale: number;
  azimuth: number;
  gridAngle: number;
  falseEasting: number;
  falseNorthing: number;
}

/** A coordinate reference system as a definition describes it, in one form for all flavours. */
export interface CrsDescription {
  kind: 'projected' | 'geographic';
  name: string;
  /** Code that the definition itself carries. */
  epsg: number | null;
  /** '' for geographic systems. */
  method: string;
  parameters: ProjectionParameters | null;
  /** Metres in one unit of the axes; null for degrees. */
  metresPerUnit: number | null;
  unitName: string;
  datum: string;
  geographicName: string;
  semiMajorM: number;
  /** 0 for a sphere. */
  inverseFlattening: number;
  primeMeridian: number;
  /** Of a compound system. */
  vertical: { name: string; metresPerUnit: number } | null;
}

const degree = Math.PI / 180;
const projectedKeywords = ['PROJCS', 'PROJCRS', 'PROJECTEDCRS', 'BASEPROJCRS'];
const geographicKeywords = [
  'GEOGCS',
  'GEOGCRS',
  'GEOGRAPHICCRS',
  'BASEGEOGCRS',
  'GEODCRS',
  'GEODETICCRS',
  'BASEGEODCRS',
];

/**
 * Reads well-known text: version 1 (OGC and ESRI flavours) or 2, projected or geographic, alone, compound or bound.
 * Null where it is none of these.
 */
export function readWkt(text: string): CrsDescription | null {
  const root = parseWkt(text);
  if (root === null) return null;
  const vertical = verticalOf(root);
  const horizontal = horizontalOf(root, 0);
  if (horizontal === null) return null;
  const description = projectedKeywords.includes(horizontal.keyword)
    ? projectedOf(horizontal)
    : geographicOf(horizontal);
  return description === null ? null : { ...description, vertical };
}

/** The unit that a factor stands for, to seven digits: enough to tell the two feet apart (2 in a million). */
export function lengthUnitOf(metresPerUnit: number | null): LengthUnit | null {
  if (metresPerUnit === null) return null;
  const units: LengthUnit[] = ['m', 'ft', 'us-ft'];
  return units.find((unit) => Math.abs(metresPerUnit / metresPer[unit] - 1) < 2e-7) ?? null;
}

function horizontalOf(node: WktNode, depth: number): WktNode | null {
  if (projectedKeywords.includes(node.keyword) || geographicKeywords.includes(node.keyword)) return node;
  if (depth > 3) return null;
  for (const child of node.children) {
    const wrapped = ['COMPD_CS', 'COMPOUNDCRS', 'BOUNDCRS', 'SOURCECRS'].includes(node.keyword);
    const found = wrapped ? horizontalOf(child, depth + 1) : null;
    if (found !== null) return found;
  }
  return null;
}

function verticalOf(root: WktNode): CrsDescription['vertical'] {
  const node = childOf(root, 'VERT_CS', 'VERTCS', 'VERTCRS', 'VERTICALCRS');
  if (node === null) return null;
  const unit = unitOf(node, 'LENGTHUNIT') ?? unitOf(childOf(node, 'AXIS'), 'LENGTHUNIT');
  return unit === null ? null : { name: nameOf(node), metresPerUnit: unit.factor };
}

function unitOf(node: WktNode | null, keyword: string): { name: string; factor: number } | null {
  const unit = node && childOf(node, keyword, 'UNIT');
  const factor = numberOf(unit);
  return unit === null || factor === null || factor <= 0 ? null : { name: nameOf(unit), factor };
}

function geographicOf(node: WktNode): CrsDescription | null {
  const datum = childOf(node, 'DATUM', 'GEODETICDATUM', 'TRF', 'ENSEMBLE');
  const spheroid = datum && childOf(datum, 'SPHEROID', 'ELLIPSOID');
  const semiMajorM = numberOf(spheroid);
  const inverseFlattening = numberOf(spheroid, 2);
  if (semiMajorM === null || inverseFlattening === null) return null;
  return {
    kind: 'geographic',
    name: nameOf(node),
    epsg: codeOf(node),
    method: '',
    parameters: null,
    metresPerUnit: null,
    unitName: angleUnitOf(node).name,
    datum: nameOf(datum),
    geographicName: nameOf(node),
    semiMajorM,
    inverseFlattening,
    primeMeridian: meridianOf(childOf(node, 'PRIMEM', 'PRIMEMERIDIAN')),
    vertical: null,
  };
}

/** Degrees east of Greenwich. Version 1 writes degrees whatever the unit; version 2 names the unit. */
function meridianOf(node: WktNode | null): number {
  return ((numberOf(node) ?? 0) * (unitOf(node, 'ANGLEUNIT')?.factor ?? degree)) / degree;
}

function angleUnitOf(node: WktNode): { name: string; factor: number } {
  const unit = unitOf(node, 'ANGLEUNIT') ?? unitOf(childOf(node, 'AXIS'), 'ANGLEUNIT');
  return unit ?? { name: 'degree', factor: degree };
}

function projectedOf(node: WktNode): CrsDescription | null {
  const base = childOf(node, ...geographicKeywords);
  const geographic = base && geographicOf(base);
  const conversion = childOf(node, 'CONVERSION') ?? node;
  const method = nameOf(childOf(conversion, 'PROJECTION', 'METHOD'));
  if (!base || !geographic || method === '') return null;
  const unit = unitOf(node, 'LENGTHUNIT') ?? unitOf(childOf(node, 'AXIS'), 'LENGTHUNIT');
  const linear = unit?.factor ?? 1;
  return {
    ...geographic,
    kind: 'projected',
    name: nameOf(node),
    epsg: codeOf(node),
    ...canonical(
      methodOf(projectionOf(node, method)),
      parametersOf(conversion, linear, angleUnitOf(base).factor),
    ),
    metresPerUnit: linear,
    unitName: unit?.name ?? 'metre',
  };
}

/** Version 1 has no method of its own for the web maps' projection and marks it by its PROJ string. */
function projectionOf(node: WktNode, method: string): string {
  const extension = childOf(node, 'EXTENSION')?.values.join(' ') ?? '';
  return extension.includes('+nadgrids=@null') ? 'Mercator_Auxiliary_Sphere' : method;
}

function parametersOf(
  conversion: WktNode,
  metresPerUnit: number,
  radiansPerUnit: number,
): Partial<ProjectionParameters> {
  const parameters: Partial<ProjectionParameters> = {};
  for (const child of conversion.children) {
    const key = child.keyword === 'PARAMETER' ? parameterOf(nameOf(child)) : null;
    const value = numberOf(child);
    if (key === null || value === null) continue;
    if (key === 'scale') parameters.scale = value;
    else if (key === 'falseEasting' || key === 'falseNorthing')
      parameters[key] = value * (unitOf(child, 'LENGTHUNIT')?.factor ?? metresPerUnit);
    else parameters[key] = (value * (unitOf(child, 'ANGLEUNIT')?.factor ?? radiansPerUnit)) / degree;
  }
  return parameters;
}

function codeOf(node: WktNode): number | null {
  const id = node.children.findLast(({ keyword }) => keyword === 'AUTHORITY' || keyword === 'ID');
  if (!id || !/^epsg$/i.test(nameOf(id))) return null;
  const code = Number(id.values[1]);
  return Number.isInteger(code) && code > 0 ? code : null;
}
