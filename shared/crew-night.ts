import Type, { type Static } from 'typebox';
import { CoverCard } from './cover.ts';
import { FieldRecord, type FieldRecord as Kept } from './field-record.ts';
import { Project } from './project.ts';
import { nullableDate } from './rim-record.ts';
import { exact, Moment, nullable, nullableString } from './schema.ts';
import { StreetCollection } from './street.ts';
import { VacuumTable } from './vacuum-table.ts';

/** A crew's night in a project: how many covers it has, and how many of them still to do. */
export const CrewNightHead = exact({
  night: nullableDate,
  crew: nullableString(),
  covers: Type.Integer(),
  left: Type.Integer({ description: 'Neither set nor accepted yet.' }),
});

export const CrewNightList = exact({ items: Type.Array(CrewNightHead) });

/** A blank crew or night asks for covers of none. */
export const CrewNightQuery = exact({
  night: Type.String({ pattern: '^(\\d{4}-\\d{2}-\\d{2})?$' }),
  crew: Type.String({ maxLength: 100 }),
});

/** All that a phone needs to work a night without a signal. */
export const CrewNight = exact({
  madeAt: Moment,
  night: nullableDate,
  crew: nullableString(),
  project: Project,
  /** Cards in driving order. */
  cards: Type.Array(CoverCard),
  /** Records of these covers in the order of `seq`. */
  records: Type.Array(FieldRecord),
  /** Highest `seq` of the project when this was made; ask for what came `since` then. */
  lastSeq: Type.Integer(),
  streets: StreetCollection,
  vacuumTable: nullable(VacuumTable),
});

export type CrewNightHead = Static<typeof CrewNightHead>;
export type CrewNightQuery = Static<typeof CrewNightQuery>;
export type CrewNight = Omit<Static<typeof CrewNight>, 'records'> & { records: Kept[] };
