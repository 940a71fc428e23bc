import { BlockList, isIPv6 } from 'node:net';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { HttpProblem } from '../http-problem.ts';

/**
 * There are no accounts: whoever reaches the server may change the register. So that no other web site does it
 * through a visitor's browser, requests must be for this machine by name (a foreign name may have been pointed
 * here) and changes must not come from another origin (OWASP ASVS 5.0, 3.5).
 */
export function useOwnOrigin(app: FastifyInstance, proxies: readonly string[]): void {
  const known = listOf(['127.0.0.0/8', '::1', ...proxies]);
  app.addHook('onRequest', async (request) => {
    const { remoteAddress = '' } = request.socket;
    if (!known.check(remoteAddress, isIPv6(remoteAddress) ? 'ipv6' : 'ipv4')) {
      throw new HttpProblem(403, 'This server answers its own machine and its proxy only (TRUST_PROXY).');
    }
    if (!isThisMachine(request.hostname)) {
      throw new HttpProblem(403, `This server answers as localhost only, not as "${request.hostname}".`);
    }
    const changes = !['GET', 'HEAD', 'OPTIONS'].includes(request.method);
    if (changes && isForeign(request)) {
      throw new HttpProblem(403, 'A page of another origin may not change anything here.');
    }
  });
}

function listOf(networks: readonly string[]): BlockList {
  const list = new BlockList();
  for (const network of networks) {
    const [address, bits] = network.split('/');
    const family = isIPv6(address) ? 'ipv6' : 'ipv4';
    if (bits === undefined) list.addAddress(address, family);
    else list.addSubnet(address, Number(bits), family);
  }
  return list;
}

function isThisMachine(hostname: string): boolean {
  const name = hostname.replace(/^\[|\]$/g, '').toLowerCase();
  return name === 'localhost' || name === '::1' || /^127(\.\d{1,3}){3}$/.test(name);
}

function isForeign({ headers }: FastifyRequest): boolean {
  if (headers['sec-fetch-site'] === 'cross-site' || headers['sec-fetch-site'] === 'same-site') return true;
  const { origin } = headers;
  if (origin === undefined) return false;
  return !URL.canParse(origin) || new URL(origin).host !== headers.host;
}
