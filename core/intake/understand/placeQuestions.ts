import type { CrsDefinition } from '../../crs/crs.ts';
import { type LengthUnit, metresPer } from '../../units/length.ts';
import type { Choice, CrsLookup, Question, Said } from '../understanding.ts';
import type { Gathered } from './gathered.ts';
import { land, mostly } from './landing.ts';
import type { Place, PlaceInput } from './place.ts';

export const lonLat = { epsg: 4326, name: 'WGS 84, longitude and latitude' };

export const isFoot = (unit: LengthUnit): boolean => unit === 'ft' || unit === 'us-ft';

export const unitWords: Readonly<Record<LengthUnit, string>> = {
  m: 'metres',
  mm: 'millimetres',
  cm: 'centimetres',
  in: 'inches',
  ft: 'international feet',
  'us-ft': 'US survey feet',
};

/** How far the farthest coordinate moves when one foot is taken for the other. */
export function footShift({ farthest }: Gathered): string {
  const feet = farthest * (metresPer['us-ft'] / metresPer.ft - 1);
  return `${feet.toFixed(3)} ft (${(feet * metresPer.ft).toFixed(4)} m)`;
}

export function footQuestion(
  gathered: Gathered,
  { stated, ofCrs }: { stated: LengthUnit; ofCrs: LengthUnit | null },
): Question {
  const about = ofCrs && ofCrs !== stated ? `, but its coordinate system counts in ${unitWords[ofCrs]}` : '';
  return {
    code: 'whichFoot',
    about: 'horizontal',
    text: `The file says ${unitWords[stated]}${about}. The other foot moves its farthest coordinate by ${footShift(gathered)}. Which is it?`,
    choices: (['ft', 'us-ft'] as const).map((id) => ({
      id,
      text: unitWords[id],
      example: { factor: metresPer[id], farthestM: gathered.farthest * metresPer[id] },
    })),
    likely: stated,
  };
}

export function unitQuestion(gathered: Gathered): Question {
  return {
    code: 'horizontalUnit',
    about: 'horizontal',
    text: `Nothing says in which unit positions are. The two feet differ by ${footShift(gathered)} at the farthest coordinate.`,
    choices: (['m', 'ft', 'us-ft'] as const).map((id) => ({
      id,
      text: unitWords[id],
      example: { factor: metresPer[id], farthestM: gathered.farthest * metresPer[id] },
    })),
    likely: null,
  };
}

export function crsQuestion(gathered: Gathered, candidates: readonly number[], lookup: CrsLookup): Question {
  const choices: Choice[] = [];
  for (const epsg of candidates.slice(0, 5)) {
    const definition = lookup.find(epsg);
    if (definition) choices.push(systemChoice(gathered, definition));
  }
  if (gathered.couldBeLonLat()) {
    choices.push({ id: `EPSG:${lonLat.epsg}`, text: 'longitude and latitude (WGS 84)' });
  }
  choices.push(
    { id: 'project', text: "the project's system" },
    { id: 'other', text: 'another system, by EPSG code or name' },
  );
  return {
    code: 'crs',
    about: null,
    text: 'The file does not say which coordinate system its positions are in. Which is it?',
    choices,
    likely: null,
  };
}

export function systemChoice(gathered: Gathered, crs: CrsDefinition, swapped = false): Choice {
  const landing = land(gathered, crs, { swapped, metresPerUnit: crs.metresPerUnit });
  return { id: `EPSG:${crs.code}`, text: crs.name, lands: landing.middle, inside: mostly(landing) };
}

export function degreesQuestion(gathered: Gathered, crs: CrsDefinition): Question {
  const [first] = gathered.spread;
  return {
    code: 'lonLatInGrid',
    about: null,
    text: `Every coordinate could be longitude and latitude, yet the system is ${crs.name}, in ${crs.unitName}. Which are they?`,
    choices: [
      {
        id: 'degrees',
        text: 'longitude and latitude in degrees',
        lands: first ? { lon: first[0], lat: first[1] } : null,
      },
      systemChoice(gathered, crs),
    ],
    likely: `EPSG:${crs.code}`,
  };
}

export function zoneQuestion(
  gathered: Gathered,
  { definition, said, lookup }: { definition: CrsDefinition; said: Said; lookup: CrsLookup },
): Question | null {
  const choices = lookup
    .zones(definition)
    .map((crs) => {
      const landing = land(
        gathered,
        crs,
        { swapped: false, metresPerUnit: crs.metresPerUnit },
        said.projectArea ?? crs.area,
      );
      return { id: `EPSG:${crs.code}`, text: crs.name, lands: landing.middle, inside: mostly(landing) };
    })
    .filter(({ inside }) => inside)
    .slice(0, 8);
  if (choices.length === 0) return null;
  return {
    code: 'zone',
    about: null,
    text: `The positions do not lie in ${definition.name}. In these systems they would land inside the area of use.`,
    choices,
    likely: null,
  };
}

export function axisQuestion(place: Place, { gathered, said }: PlaceInput): Question {
  const { definition } = place;
  const [first] = gathered.spread;
  const choice = (id: 'asRead' | 'swapped'): Choice => {
    const isSwapped = id === 'swapped';
    const [easting, northing] = isSwapped ? [first?.[1], first?.[0]] : [first?.[0], first?.[1]];
    const text = isSwapped ? 'the two exchanged' : 'as read';
    const example = { northing: northing ?? null, easting: easting ?? null };
    if (definition === null) return { id, text, example };
    const metresPerUnit = place.metresPerUnit ?? definition.metresPerUnit;
    const landing = land(
      gathered,
      definition,
      { swapped: isSwapped, metresPerUnit },
      said.projectArea ?? definition.area,
    );
    return { id, text, lands: landing.middle, inside: mostly(landing), example };
  };
  return {
    code: 'axisOrder',
    about: 'northing, easting',
    text: 'Nothing in the file settles which coordinate is the northing. Which reading is right?',
    choices: [choice('asRead'), choice('swapped')],
    likely: place.swapped ? 'swapped' : 'asRead',
  };
}
