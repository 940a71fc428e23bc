import Type, { type Static, type TSchema } from 'typebox';

/**
 * Small parts that the schemas of the resources share. Lengths are metres and say so in the name (`...M`),
 * azimuths are degrees clockwise from grid north (`...Deg`), gradients are dimensionless.
 */

export const number = (description?: string) => Type.Number({ description });
export const nullableNumber = (description?: string) =>
  Type.Unsafe<number | null>({ type: ['number', 'null'], description });
export const nullableString = (description?: string) =>
  Type.Unsafe<string | null>({ type: ['string', 'null'], description });
export const nullableBoolean = (description?: string) =>
  Type.Unsafe<boolean | null>({ type: ['boolean', 'null'], description });

/** One of a closed list of words. */
export const oneOf = <const Words extends readonly string[]>(words: Words, description?: string) =>
  Type.Unsafe<Words[number]>({ type: 'string', enum: [...words], description });
export const nullableOneOf = <const Words extends readonly string[]>(words: Words, description?: string) =>
  Type.Unsafe<Words[number] | null>({ type: ['string', 'null'], enum: [...words, null], description });

export const nullable = <Schema extends TSchema>(schema: Schema) => Type.Union([schema, Type.Null()]);

/** Settings of an agency's or a project's own, none of which has to be there: null takes one back. */
export const ownChoice = <Choices extends Record<string, TSchema>>(choices: Choices) =>
  Object.fromEntries(
    Object.entries(choices).map(([name, schema]) => [name, Type.Optional(nullable(schema))]),
  ) as unknown as {
    [Name in keyof Choices]: ReturnType<typeof Type.Optional<ReturnType<typeof nullable<Choices[Name]>>>>;
  };

/** An object that refuses fields it does not know. */
export const exact = <Properties extends Record<string, TSchema>>(properties: Properties) =>
  Type.Object(properties, { additionalProperties: false });

/** Key of an agency, a project, a surface or a catalogue: what stands in the address. */
export const Slug = Type.String({
  pattern: '^[a-z0-9][a-z0-9-]{0,62}$',
  description: 'Lower-case letters, digits and hyphens, at most 63.',
});

/** Identity of a structure as its owner writes it. */
export const StructureId = Type.String({ minLength: 1, maxLength: 64, pattern: '^[^\\u0000-\\u001f/]+$' });

export const EpsgCode = Type.String({ pattern: '^EPSG:[0-9]{4,6}$', description: 'e.g. EPSG:2264' });

export const Moment = Type.String({ format: 'date-time', description: 'UTC' });
export const nullableMoment = Type.Unsafe<string | null>({ type: ['string', 'null'], format: 'date-time' });

/** A page of a list: `next` is the address of the page after it, null on the last one. */
export const page = <Item extends TSchema>(item: Item) =>
  exact({ items: Type.Array(item), next: nullableString('Address of the next page; null on the last one.') });

export const pageQuery = (largest: number, usual: number) => ({
  after: Type.Optional(Type.String({ maxLength: 200, description: 'Opaque; taken from `next`.' })),
  limit: Type.Optional(Type.Integer({ minimum: 1, maximum: largest, default: usual })),
});

export interface Page<Item> {
  items: Item[];
  next: string | null;
}

export type { Static };
