import type { LengthUnit } from '../../units/length.ts';
import type { Faults } from '../faults.ts';
import { ownText } from '../growing.ts';
import type { CrsStatement } from '../types.ts';
import type { XmlAttributes } from '../xmlStream.ts';

export interface StatedUnits {
  horizontal: LengthUnit | null;
  vertical: LengthUnit | null;
}

/** Words of LandXML's linearUnit, widthUnit, diameterUnit (schemas 1.0 to 2.0, impLinear and metLinear). */
const lengths: Readonly<Record<string, LengthUnit>> = {
  meter: 'm',
  millimeter: 'mm',
  centimeter: 'cm',
  foot: 'ft',
  USSurveyFoot: 'us-ft',
  inch: 'in',
};

export function landXmlLength(word: string | undefined): LengthUnit | null {
  return word !== undefined && Object.hasOwn(lengths, word) ? lengths[word] : null;
}

/**
 * Units of a `Metric` or `Imperial` element. Elevations are in the linear unit; an elevationUnit of the other system
 * contradicts that, so the vertical unit is then left open.
 */
export function statedUnits(attributes: XmlAttributes, row: number, faults: Faults): StatedUnits {
  const { linearUnit, elevationUnit } = attributes;
  const unit = landXmlLength(linearUnit);
  if (unit === null)
    faults.say({
      code: 'unknownUnit',
      row,
      column: 'linearUnit',
      value: linearUnit ?? null,
      message: 'not a unit of length that is read: meter, millimeter, centimeter, foot, USSurveyFoot or inch',
    });
  const isMetric = unit === 'm' || unit === 'mm' || unit === 'cm';
  const elevationIsMetric = elevationUnit === 'meter' || elevationUnit === 'kilometer';
  if (unit === null || elevationUnit === undefined || elevationIsMetric === isMetric)
    return { horizontal: unit, vertical: unit };
  faults.say({
    code: 'unitsDisagree',
    row,
    column: 'elevationUnit',
    value: elevationUnit,
    message: `elevations have another unit than the linearUnit ${linearUnit}; say which is right`,
  });
  return { horizontal: unit, vertical: null };
}

/** What a CoordinateSystem element says, or null where it says nothing. */
export function statedCrs(attributes: XmlAttributes): CrsStatement | null {
  const { epsgCode, ogcWktCode, horizontalCoordinateSystemName, name, desc } = attributes;
  const text = [
    ogcWktCode,
    horizontalCoordinateSystemName,
    attributes.projectedCoordinateSystemName,
    name,
    desc,
  ]
    .filter((part) => part !== undefined)
    .find((part) => part.trim() !== '');
  const code = /^\s*(?:EPSG:{1,2})?(\d{4,6})\s*$/i.exec(epsgCode ?? '')?.[1] ?? wktCode(ogcWktCode ?? '');
  if (text === undefined && code === null) return null;
  return {
    epsg: code === null ? null : Number(code),
    text: ownText((text ?? `EPSG:${code}`).trim()),
    from: 'CoordinateSystem element',
  };
}

/** The authority of a WKT's outermost system stands last; a bare number is a code too. */
function wktCode(wkt: string): string | null {
  const last = /(?:AUTHORITY|ID)\s*\[\s*"EPSG"\s*,\s*"?(\d{4,6})"?\s*\]\s*\]\s*$/i.exec(wkt.slice(-200));
  return last?.[1] ?? /^\s*(?:EPSG:{1,2})?(\d{4,6})\s*$/i.exec(wkt)?.[1] ?? null;
}
