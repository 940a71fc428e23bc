import { type CrsDefinition, insideArea } from '../../crs/crs.ts';
import type { Problem } from '../../problem.ts';
import { type LengthUnit, metresPer } from '../../units/length.ts';
import { refuseFile } from '../problemLog.ts';
import type { CrsStatement, UnitStatement } from '../types.ts';
import type { CrsLookup, CrsUnderstood, Question, Said, UnitUnderstood } from '../understanding.ts';
import type { Gathered } from './gathered.ts';
import { land, middleOf, mostly } from './landing.ts';
import {
  axisQuestion,
  crsQuestion,
  degreesQuestion,
  footQuestion,
  isFoot,
  lonLat,
  unitQuestion,
  unitWords,
  zoneQuestion,
} from './placeQuestions.ts';

/** How the horizontal positions of a file are understood. */
export interface Place {
  crs: CrsUnderstood | null;
  /** The projected system; null for longitude and latitude and where none is known. */
  definition: CrsDefinition | null;
  horizontal: UnitUnderstood;
  /** Metres in one unit; null where it is not known. */
  metresPerUnit: number | null;
  swapped: boolean;
  /** Middle of the positions in this reading. */
  lands: { lon: number; lat: number } | null;
  problems: Problem[];
  questions: Question[];
}

export interface PlaceInput {
  statement: CrsStatement | null;
  units: UnitStatement;
  gathered: Gathered;
  /** Nothing in the file says which axis is north. */
  axesInDoubt: boolean;
  said: Said;
  lookup: CrsLookup;
}

/** Works out system, unit and axes, with what has to be asked; coordinates are never converted here. */
export function understandPlace(input: PlaceInput): Place {
  const { said, gathered, units } = input;
  const place = findSystem(input);
  const { definition } = place;
  if (place.horizontal.unit === 'degree') {
    place.swapped = said.axes === 'swapped';
    place.lands = middleOf(gathered.spread.map(([x, y]) => (place.swapped ? [y, x] : [x, y])));
    return place;
  }
  setUnit(place, units, { said, gathered });
  if (gathered.placed > 0 && definition !== null) judgeLanding(place, definition, input);
  else if (gathered.placed > 0 && input.axesInDoubt && said.axes === undefined)
    place.questions.push(axisQuestion(place, input));
  if (said.axes !== undefined) place.swapped = said.axes === 'swapped';
  return place;
}

function findSystem({ statement, units, gathered, said, lookup }: PlaceInput): Place {
  const place: Place = {
    crs: null,
    definition: null,
    horizontal: { unit: null, from: 'unknown' },
    metresPerUnit: null,
    swapped: false,
    lands: null,
    problems: [],
    questions: [],
  };
  const matched = statement === null ? null : matchStatement(statement, lookup);
  const epsg = matched?.epsg ?? null;
  const saysLonLat = epsg === null ? units.horizontal === 'degree' : lookup.isLonLat(epsg);
  const isLonLat = said.lonLat === true || saysLonLat;
  if (isLonLat && (gathered.placed === 0 || gathered.couldBeLonLat())) {
    const from = saysLonLat ? 'file' : 'given';
    const code = saysLonLat ? (epsg ?? lonLat.epsg) : lonLat.epsg;
    place.crs = { ...describe(code, lonLat.name), from, text: statement?.text ?? null };
    place.horizontal = { unit: 'degree', from };
    if (said.crs && gathered.placed > 0 && saysLonLat)
      place.problems.push(...lonLatOutside(gathered, said.crs));
    return place;
  }
  if (isLonLat) {
    const message =
      'longitude and latitude are said, but the coordinates are out of their range; they are not read as degrees';
    place.problems.push(refuseFile('notLonLat', message, statement?.text ?? null));
  }
  const fromFile = epsg === null || isLonLat ? null : lookup.find(epsg);
  if (statement !== null && fromFile === null && !isLonLat) {
    const why = matched?.reason || `EPSG:${epsg} is not a projected system that is known here`;
    place.problems.push(
      refuseFile(
        'crsNotKnown',
        `the file's coordinate system is not recognised: ${why}`,
        statement.text.slice(0, 200),
      ),
    );
  } else if (matched && !matched.sure && fromFile) {
    const message = `taken for EPSG:${fromFile.code} (${fromFile.name}): ${matched.reason}`;
    place.problems.push(refuseFile('crsNotSure', message, statement!.text.slice(0, 200)));
  }
  place.definition = said.crs ?? fromFile;
  if (said.crs)
    place.crs = { ...describe(said.crs.code, said.crs.name), from: 'given', text: statement?.text ?? null };
  else if (fromFile)
    place.crs = { ...describe(fromFile.code, fromFile.name), from: 'file', text: statement!.text };
  else if (statement && !isLonLat)
    place.crs = { epsg: null, code: null, name: null, from: 'file', text: statement.text };
  if (said.crs && fromFile && said.crs.code !== fromFile.code) {
    const message = `the file says EPSG:${fromFile.code} (${fromFile.name}); it is read as EPSG:${said.crs.code} (${said.crs.name}), which was given`;
    place.problems.push(refuseFile('crsDiffers', message, statement!.text.slice(0, 200)));
  }
  // Where no record has a place, there is nothing to ask of places.
  if (gathered.placed === 0) return place;
  if (place.definition === null)
    place.questions.push(crsQuestion(gathered, matched?.candidates ?? [], lookup));
  else if (gathered.couldBeLonLat()) place.questions.push(degreesQuestion(gathered, place.definition));
  return place;
}

/** The system given is then the grid that the places are wanted in. */
function lonLatOutside(gathered: Gathered, crs: CrsDefinition): Problem[] {
  const inside = gathered.spread.filter(([lon, lat]) => insideArea(crs, lon, lat)).length;
  if (inside > gathered.spread.length / 2) return [];
  const message = `the file has longitude and latitude, and they lie outside the area of use of EPSG:${crs.code} (${crs.name})`;
  return [refuseFile('outsideArea', message)];
}

function matchStatement(statement: CrsStatement, lookup: CrsLookup): ReturnType<CrsLookup['match']> {
  if (statement.epsg !== null) return { epsg: statement.epsg, sure: true, candidates: [], reason: '' };
  return lookup.match(statement.text);
}

const describe = (epsg: number, name: string): Pick<CrsUnderstood, 'epsg' | 'code' | 'name'> => ({
  epsg,
  code: `EPSG:${epsg}`,
  name,
});

/** The unit whose length is this many metres, where it is one of ours. */
export function unitOfMetres(metresPerUnit: number): LengthUnit | null {
  const found = Object.entries(metresPer).find(([, metres]) => Math.abs(metres / metresPerUnit - 1) < 1e-9);
  return found ? (found[0] as LengthUnit) : null;
}

function setUnit(
  place: Place,
  units: UnitStatement,
  { said, gathered }: { said: Said; gathered: Gathered },
): void {
  const { definition } = place;
  const ofCrs = definition ? unitOfMetres(definition.metresPerUnit) : null;
  const stated = units.horizontal === 'degree' ? null : units.horizontal;
  const unit = said.horizontalUnit ?? stated;
  if (unit === null) {
    place.horizontal = { unit: ofCrs, from: definition ? 'crs' : 'unknown' };
    place.metresPerUnit = definition?.metresPerUnit ?? null;
    if (definition === null && gathered.placed > 0) place.questions.push(unitQuestion(gathered));
    return;
  }
  place.horizontal = { unit, from: said.horizontalUnit ? 'given' : 'file' };
  place.metresPerUnit = metresPer[unit];
  if (definition === null || said.horizontalUnit !== undefined || ofCrs === unit) {
    // `foot` alone is written for either foot; a file that names the US survey foot has said which.
    if (definition === null && unit === 'ft' && said.horizontalUnit === undefined) {
      place.questions.push(footQuestion(gathered, { stated: unit, ofCrs: null }));
    }
    return;
  }
  if (isFoot(unit) && ofCrs !== null && isFoot(ofCrs)) {
    place.questions.push(footQuestion(gathered, { stated: unit, ofCrs }));
    return;
  }
  const message = `the file counts in ${unitWords[unit]}, EPSG:${definition.code} in ${definition.unitName}; coordinates are read in ${unitWords[unit]}`;
  place.problems.push(refuseFile('unitDiffers', message, unit));
}

/** What tells a swap or a wrong zone: the area of use, and the project's own where that is known. */
function judgeLanding(place: Place, definition: CrsDefinition, input: PlaceInput): void {
  const { gathered, said, axesInDoubt, lookup } = input;
  const area = said.projectArea ?? definition.area;
  const metresPerUnit = place.metresPerUnit ?? definition.metresPerUnit;
  const asRead = land(gathered, definition, { swapped: false, metresPerUnit }, area);
  const swapped = land(gathered, definition, { swapped: true, metresPerUnit }, area);
  const onlySwapped = !mostly(asRead) && mostly(swapped);
  const where = said.projectArea
    ? "the project's area"
    : `the area of use of EPSG:${definition.code} (${definition.name})`;
  if (onlySwapped && said.axes === undefined) {
    place.swapped = true;
    const message = `as read, northing and easting land outside ${where}; exchanged they land inside it. They are shown exchanged; nothing is stored until this is answered`;
    place.problems.push(refuseFile('axesSwapped', message));
  } else if (!mostly(asRead) && !(said.axes === 'swapped' && mostly(swapped))) {
    const message = `${Math.round((1 - asRead.inside) * 100)} % of the positions land outside ${where}: another zone, another unit, or local coordinates`;
    place.problems.push(refuseFile('outsideArea', message));
    const zones = zoneQuestion(gathered, { definition, said, lookup });
    if (zones) place.questions.push(zones);
  }
  const isSwapped = said.axes === undefined ? place.swapped : said.axes === 'swapped';
  place.lands = (isSwapped ? swapped : asRead).middle;
  if (said.axes === undefined && (axesInDoubt || onlySwapped))
    place.questions.push(axisQuestion(place, input));
}
