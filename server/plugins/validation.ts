import type { FastifyInstance } from 'fastify';
import type { TSchema } from 'typebox';
import { Compile } from 'typebox/compile';

interface ObjectSchema {
  properties?: Record<string, { type?: string | string[] }>;
}

/**
 * Bodies are taken as they come: "5" is no number. Query parameters are text by nature and become numbers where
 * the schema asks for one and the whole text is one; what is left over is then refused by the schema.
 */
export function useValidation(app: FastifyInstance): void {
  app.setValidatorCompiler<TSchema>(({ schema, httpPart }) => {
    const compiled = Compile(schema);
    return (value: unknown) => {
      const given = httpPart === 'body' ? value : readNumbers(schema as ObjectSchema, value);
      if (compiled.Check(given)) return { value: given };
      return { error: compiled.Errors(given) as never };
    };
  });
}

function readNumbers(schema: ObjectSchema, value: unknown): unknown {
  const given: Record<string, unknown> = { ...(value as Record<string, unknown>) };
  for (const [name, { type, ...rest }] of Object.entries(schema.properties ?? {})) {
    if ((type === 'integer' || type === 'number') && isNumeric(given[name]))
      given[name] = Number(given[name]);
    if (given[name] === undefined && 'default' in rest) given[name] = rest.default;
  }
  return given;
}

/** Whatever a program writes of a number that it holds: all its digits (20 and more) or a power of ten, as in 5e-7. */
const numeral = /^-?\d+(\.\d+)?([eE][-+]?\d+)?$/;

function isNumeric(value: unknown): boolean {
  return typeof value === 'string' && numeral.test(value) && Number.isFinite(Number(value));
}
