import Type, { type Static } from 'typebox';
import { exact } from './schema.ts';

/** One fault of a request: where it is, what is wrong, and the value as it came. */
export const FieldProblem = exact({
  path: Type.String({ description: 'JSON pointer into the body, or the name of the query parameter.' }),
  message: Type.String(),
  value: Type.Optional(Type.Unknown()),
});

/** RFC 9457 problem details, sent as application/problem+json. */
export const ProblemDetails = exact({
  type: Type.String(),
  title: Type.String(),
  status: Type.Integer(),
  detail: Type.String(),
  instance: Type.String(),
  errors: Type.Array(FieldProblem),
});

export type FieldProblem = Static<typeof FieldProblem>;
export type ProblemDetails = Static<typeof ProblemDetails>;
