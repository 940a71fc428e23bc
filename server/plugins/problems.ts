import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { FieldProblem, ProblemDetails } from '#shared/problem.ts';
import { HttpProblem, titles } from '../http-problem.ts';
import { isOfDeletedProject } from '../store/plans.ts';

interface SchemaError {
  keyword: string;
  instancePath: string;
  message: string;
  params: Record<string, unknown>;
}

const mostErrors = 20;

/** Answers every failure as RFC 9457 problem details. Above 499 only the log has the cause. */
export function useProblems(app: FastifyInstance): void {
  app.setErrorHandler((error: FastifyError, request, reply) => {
    if (error instanceof HttpProblem) {
      return send(request, reply.headers(error.headers), error);
    }
    if (isOfDeletedProject(error)) return send(request, reply, new HttpProblem(410, error.message));
    if (error.validation) return send(request, reply, schemaProblem(error, request));
    const status = error.statusCode && error.statusCode >= 400 ? error.statusCode : 500;
    if (status >= 500 && status !== 503) {
      request.log.error({ err: error }, 'request failed');
      return send(
        request,
        reply,
        new HttpProblem(500, 'The server failed on this request; its log says why.'),
      );
    }
    return send(request, reply, new HttpProblem(status, error.message));
  });
}

export function send(request: FastifyRequest, reply: FastifyReply, problem: HttpProblem): FastifyReply {
  const body: ProblemDetails = {
    type: 'about:blank',
    title: problem.title ?? titles[problem.status],
    status: problem.status,
    detail: problem.message,
    instance: request.url.split('?')[0],
    errors: problem.errors,
  };
  return reply
    .code(problem.status)
    .type('application/problem+json')
    .header('cache-control', 'no-store')
    .serializer(JSON.stringify)
    .send(body);
}

function schemaProblem(error: FastifyError, request: FastifyRequest): HttpProblem {
  const context = error.validationContext ?? 'body';
  const given = context === 'body' ? request.body : context === 'params' ? request.params : request.query;
  const found = (error.validation as unknown as SchemaError[]).flatMap((fault) => describe(fault, given));
  // A union reports each of its branches; one line a field is enough for people.
  const errors = [...new Map(found.map((fault) => [fault.path, fault])).values()].slice(0, mostErrors);
  const [first] = errors;
  const where = { body: 'body', querystring: 'query', params: 'address', headers: 'headers' }[context];
  const name = first?.path || where;
  return new HttpProblem(400, `${name}: ${first?.message ?? 'not valid'}`, {
    title: `The ${where} does not fit`,
    errors,
  });
}

function describe(fault: SchemaError, given: unknown): FieldProblem[] {
  if (fault.keyword === 'boolean') return [];
  if (fault.keyword === 'additionalProperties') {
    const names = fault.params.additionalProperties as string[];
    return names.map((name) => withValue(`${fault.instancePath}/${name}`, 'is not known here', given));
  }
  if (fault.keyword === 'required') {
    const names = fault.params.requiredProperties as string[];
    return names.map((name) => ({ path: `${fault.instancePath}/${name}`, message: 'is missing' }));
  }
  return [withValue(fault.instancePath, sayFault(fault), given)];
}

function sayFault({ keyword, params, message }: SchemaError): string {
  if (keyword === 'enum' && Array.isArray(params.allowedValues)) {
    return `must be one of ${params.allowedValues.filter((value) => value !== null).join(', ')}`;
  }
  if (keyword === 'anyOf') return 'is of none of the allowed forms';
  return message;
}

/** The value as it came, unless it is long: an answer is no echo of a whole upload. */
function withValue(path: string, message: string, given: unknown): FieldProblem {
  const value = path
    .split('/')
    .slice(1)
    .reduce<unknown>((inner, key) => (inner as Record<string, unknown> | undefined)?.[key], given);
  if (value === undefined || JSON.stringify(value).length > 200) return { path, message };
  return { path, message, value };
}
