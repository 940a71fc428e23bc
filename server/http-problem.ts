import type { FieldProblem } from '#shared/problem.ts';

/** Thrown by a route to answer with a problem; plugins/problems.ts sends it. */
export class HttpProblem extends Error {
  readonly status: number;
  readonly title: string;
  readonly errors: FieldProblem[];
  readonly headers: Record<string, string>;

  constructor(
    status: number,
    detail: string,
    options: { title?: string; errors?: FieldProblem[]; headers?: Record<string, string> } = {},
  ) {
    super(detail);
    this.status = status;
    this.title = options.title ?? titles[status] ?? 'Error';
    this.errors = options.errors ?? [];
    this.headers = options.headers ?? {};
  }
}

export const titles: Readonly<Record<number, string>> = {
  400: 'Bad request',
  403: 'Forbidden',
  404: 'Not found',
  405: 'Method not allowed',
  409: 'Conflict',
  410: 'Being deleted',
  412: 'Changed meanwhile',
  413: 'Too large',
  415: 'Unsupported media type',
  422: 'Not usable',
  428: 'Precondition required',
  429: 'Too many requests',
  500: 'Internal server error',
  503: 'Too busy',
  507: 'Insufficient storage',
};

export function notFound(what: string): HttpProblem {
  return new HttpProblem(404, `There is no ${what}.`);
}

/** A value that passes the schema and still breaks a rule. */
export function badField(path: string, message: string, value?: unknown): HttpProblem {
  return new HttpProblem(400, `${path}: ${message}`, {
    errors: [value === undefined ? { path, message } : { path, message, value }],
  });
}
