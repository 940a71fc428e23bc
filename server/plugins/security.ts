import helmet from '@fastify/helmet';
import rateLimit, { normalizeIP } from '@fastify/rate-limit';
import underPressure from '@fastify/under-pressure';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { HttpProblem } from '../http-problem.ts';

/**
 * Requests a minute from one address, which an office of two hundred people may share: a page that is opened asks for
 * twenty things, and one that looks on asks for a few after each change of somebody else.
 */
export const readsPerMinute = 60_000;
/** Changes are made by hand, but for the parts of an upload. */
export const changesPerMinute = 6000;
const isChange = ({ method }: FastifyRequest): boolean => !['GET', 'HEAD', 'OPTIONS'].includes(method);
const longestDelayMs = 10_000;

/** Headers that keep the page to itself; MapLibre needs its worker and images from blob: addresses. */
export async function useSecurity(app: FastifyInstance, basemapStyleUrl: string | null): Promise<void> {
  // A basemap's tiles, fonts and symbols may come from other hosts than its style.
  const outside = basemapStyleUrl ? ['https:', new URL(basemapStyleUrl).origin] : [];
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        baseUri: ["'none'"],
        connectSrc: ["'self'", ...outside],
        fontSrc: ["'self'", ...outside],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
        imgSrc: ["'self'", 'data:', 'blob:', ...outside],
        objectSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        workerSrc: ["'self'", 'blob:'],
      },
    },
    // Plain HTTP on this machine: a promise of HTTPS would lock its user out.
    strictTransportSecurity: false,
    referrerPolicy: { policy: 'same-origin' },
  });
  await app.register(rateLimit, {
    max: async (request) => (isChange(request) ? changesPerMinute : readsPerMinute),
    // Counted apart, so that whoever looks at much can still store what he has.
    keyGenerator: (request) => `${isChange(request) ? 'change' : 'read'} ${normalizeIP(request.ip)}`,
    timeWindow: '1 minute',
    errorResponseBuilder: (_request, { after }) =>
      new HttpProblem(429, `Too many requests: try again in ${after}.`),
  });
  await app.register(underPressure, {
    maxEventLoopDelay: longestDelayMs,
    pressureHandler: (_request, _reply, _type, delay) => {
      // Without a single sample in a second the delay is told as infinite: a busy moment, no standstill.
      if (delay === Infinity) return;
      throw new HttpProblem(503, 'The server is busy: try again in a few seconds.', {
        headers: { 'retry-after': '5' },
      });
    },
  });
}
