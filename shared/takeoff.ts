import Type, { type Static } from 'typebox';
import { lengthUnits } from './agency.ts';
import { coverFilter } from './cover.ts';
import { exact, nullable, nullableOneOf, nullableString, oneOf, Slug } from './schema.ts';

/** What a takeoff may be divided by. */
export const takeoffGroups = ['street', 'night', 'crew'] as const;

/** Of which covers: all that is given has to be true of them, as in the list of covers. */
export const TakeoffQuery = exact({
  ...coverFilter,
  by: Type.Optional(oneOf(takeoffGroups, 'Also divided by this.')),
});

export const TakeoffCsvQuery = exact({
  ...coverFilter,
  by: Type.Optional(
    oneOf([...takeoffGroups, 'ring', 'leftOut'], 'A row each; `leftOut`: each cover that is left out.'),
  ),
});

export const TakeoffPaperQuery = exact({
  ...coverFilter,
  paper: Type.Optional(oneOf(['a4', 'letter'])),
});

const count = (description: string) => Type.Integer({ description });

/** Every ring of the catalogue, in its order. Counts of rings, but for `packs`. */
export const TakeoffRing = exact({
  ring: Type.String(),
  kind: oneOf(['flat', 'taper']),
  thinM: Type.Number(),
  thickM: Type.Number(),
  outerDiameterM: Type.Number(),
  needed: count('In stacks that are still to be built.'),
  built: count('In stacks that stand already.'),
  spare: Type.Integer(),
  onHand: nullable(count('null: nobody counted, and the order is made as if there were none.')),
  short: count('Needed and not on hand, no spare counted.'),
  pack: count('Rings in a pack.'),
  packs: count('Whole packs to order: what needed and spare lack.'),
  toOrder: count('Rings in those packs.'),
  leftOver: count('On hand and ordered, less what is needed.'),
});

const coverCounts = {
  covers: Type.Integer(),
  toBuild: count('Their rings are still to be set, and counted.'),
  ringless: count('They stay, telescope, or have their frame on the seat.'),
  built: count('Their rings stand.'),
  leftOut: count('Their rings are not known.'),
};

/** Every cover is in exactly one of `toBuild`, `ringless`, `built` and `leftOut`. */
export const Takeoff = exact({
  planRevision: Type.Integer({ description: '0 before the first plan.' }),
  planStale: Type.Boolean({ description: 'Inputs changed since that plan: plan again before you order.' }),
  ringCatalogueId: nullable(Slug),
  unit: oneOf(lengthUnits, 'That the people of the ring catalogue read.'),
  ...coverCounts,
  reasons: Type.Array(
    exact({
      reason: Type.String(),
      text: Type.String(),
      covers: Type.Integer(),
      ids: Type.Array(Type.String(), { description: 'The first of them, at most 50.' }),
    }),
    { description: 'Why covers are left out.' },
  ),
  rings: Type.Array(TakeoffRing),
  unknownRings: Type.Array(exact({ ring: Type.String(), needed: Type.Integer(), built: Type.Integer() }), {
    description: 'In stacks, and not in the catalogue of the project.',
  }),
  totals: exact({
    needed: Type.Integer(),
    kinds: count('Rings of the catalogue of which at least one is needed.'),
    built: Type.Integer(),
    spare: Type.Integer(),
    short: Type.Integer(),
    packs: Type.Integer(),
    toOrder: Type.Integer(),
    notCounted: count('Kinds that are needed or spare and whose stock nobody counted.'),
  }),
  by: nullableOneOf(takeoffGroups),
  groups: Type.Array(
    exact({
      name: nullableString('null: of no street, night or crew.'),
      ...coverCounts,
      needed: Type.Integer(),
      rings: Type.Record(Type.String(), Type.Integer(), { description: 'Needed, by ring.' }),
    }),
    { description: 'In the order of their names, null last; none where nothing is divided by.' },
  ),
});

export type TakeoffQuery = Static<typeof TakeoffQuery>;
export type TakeoffCsvQuery = Static<typeof TakeoffCsvQuery>;
export type TakeoffRing = Static<typeof TakeoffRing>;
export type Takeoff = Static<typeof Takeoff>;
export type TakeoffGroup = (typeof takeoffGroups)[number];
