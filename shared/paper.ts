import Type, { type Static } from 'typebox';
import { exact, oneOf } from './schema.ts';

/** Documents on paper: PDF. Without `paper` the agency's unit chooses: inches Letter, millimetres A4. */
export const PaperQuery = exact({ paper: Type.Optional(oneOf(['a4', 'letter'])) });

export const NightPaperQuery = exact({
  ...PaperQuery.properties,
  crew: Type.Optional(
    Type.String({ maxLength: 100, description: 'Blank: covers of no crew; left out: of every crew.' }),
  ),
});

export const AcceptancePaperQuery = exact({
  ...PaperQuery.properties,
  street: Type.String({ minLength: 1, maxLength: 100, description: 'As the register has it.' }),
});

/** `none` asks for covers of no night. */
export const Night = Type.String({
  pattern: '^(none|\\d{4}-\\d{2}-\\d{2})$',
  description: 'YYYY-MM-DD or none',
});

export type NightPaperQuery = Static<typeof NightPaperQuery>;
