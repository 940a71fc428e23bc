import Type, { type Static, type TSchema } from 'typebox';
import { exact, ownChoice } from './schema.ts';

/** What paper and phone tell people by. They enter no plan. */
const choices = {
  timeZone: Type.String({
    minLength: 1,
    maxLength: 64,
    description: 'Name in the IANA time zone database, by which times are printed: America/New_York.',
  }),
  twoPersonsKg: Type.Number({
    exclusiveMinimum: 0,
    maximum: 200,
    description: 'A ring heavier than this is lifted by two persons or a lifting device.',
  }),
};

type Choices = typeof choices;

export const siteChoice = ownChoice(choices);

export const siteNames = Object.keys(choices) as (keyof Choices)[];

/** The settings in force; the default zone is the server's own. */
export const siteLimits = <From extends TSchema>(from: From) => ({
  timeZone: exact({ value: choices.timeZone, from }),
  twoPersonsKg: exact({ value: Type.Number(), from }),
});

export type SiteChoice = { [Name in keyof Choices]?: Static<Choices[Name]> | null };
