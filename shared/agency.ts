import Type, { type Static } from 'typebox';
import { PolicyChoice } from './policy.ts';
import { exact, oneOf, Slug } from './schema.ts';

export const lengthUnits = ['in', 'mm'] as const;

export const Agency = exact({
  id: Slug,
  name: Type.String(),
  /** Unit in which its people read rings and rim errors. */
  lengthDisplay: oneOf(lengthUnits),
  policy: PolicyChoice,
});

export const AgencyPatch = exact({ policy: PolicyChoice });

export const AgencyList = exact({ items: Type.Array(Agency) });

export type Agency = Static<typeof Agency>;
export type AgencyPatch = Static<typeof AgencyPatch>;
