import { isIP } from 'node:net';
import path from 'node:path';
import type { UploadLimits } from './context.ts';
import { usualHeartbeatSeconds } from './jobs/queue.ts';
import { usualPoolSize } from './store/database.ts';

/** Settings of one server process, all from the environment. */
export interface Config {
  host: string;
  /** 0: any free port. */
  port: number;
  dataFolder: string;
  /** null: the embedded PostgreSQL in `dataFolder`. */
  databaseUrl: string | null;
  /** Connections for requests and plan jobs; `connections.ts` has those beside them. */
  databaseConnections: number;
  /** After so long without a sign of life a server's jobs go to another one. */
  jobHeartbeatSeconds: number;
  /** Addresses and networks of reverse proxies; none: only this machine is answered. */
  trustProxy: string[];
  basemapStyleUrl: string | null;
  /** Where people reach the server, for the codes on paper; null: the address that a request came to. */
  publicUrl: string | null;
  logLevel: string;
  /** Whether a start builds the web page when it is missing or older than its sources. */
  buildWeb: boolean;
  uploadLimits: UploadLimits;
  /** Whether a start on an empty database lays the demo town. */
  loadDemo: boolean;
}

/** A setting that cannot be used; the message names the variable. */
export class ConfigError extends Error {}

const logLevels = ['trace', 'debug', 'info', 'warn', 'error', 'fatal', 'silent'];

type Environment = Readonly<Record<string, string | undefined>>;

/** Reads and checks every setting at once. Throws a ConfigError for the first one that is unfit. */
export function readConfig(env: Environment): Config {
  const trustProxy = readNetworks(env, 'TRUST_PROXY');
  return {
    host: readHost(env, trustProxy),
    port: readPort(env),
    dataFolder: path.resolve(text(env, 'DATA_DIR') ?? './data'),
    databaseUrl: readUrl(env, 'DATABASE_URL', ['postgres:', 'postgresql:']),
    databaseConnections: readWhole(env, 'DATABASE_CONNECTIONS', {
      ...{ usual: usualPoolSize, least: 4, most: 500 },
    }),
    jobHeartbeatSeconds: readWhole(env, 'JOB_HEARTBEAT_SECONDS', {
      ...{ usual: usualHeartbeatSeconds, least: 10, most: 3600 },
    }),
    trustProxy,
    basemapStyleUrl: readUrl(env, 'BASEMAP_STYLE_URL', ['http:', 'https:']),
    publicUrl: readUrl(env, 'PUBLIC_URL', ['http:', 'https:'])?.replace(/\/+$/, '') ?? null,
    logLevel: readWord(env, 'LOG_LEVEL', logLevels, 'warn'),
    buildWeb: readWord(env, 'WEB_BUILD', ['auto', 'off'], 'auto') === 'auto',
    uploadLimits: {
      maxBytes: readWhole(env, 'MAX_UPLOAD_MB', { usual: 1024, least: 1, most: 102_400 }) * 2 ** 20,
      keepDays: readWhole(env, 'KEEP_UPLOADS_DAYS', { usual: 14, least: 1, most: 3650 }),
    },
    loadDemo: readWord(env, 'DEMO', ['auto', 'off'], 'auto') === 'auto',
  };
}

function text(env: Environment, name: string): string | null {
  const value = env[name]?.trim();
  return value ? value : null;
}

/**
 * Without accounts everybody who reaches the server may change the register: it stays on this machine, or behind a proxy,
 * whose requests alone are answered then.
 */
function readHost(env: Environment, trustProxy: readonly string[]): string {
  const host = text(env, 'HOST') ?? '127.0.0.1';
  if (host === 'localhost' || host === '::1' || /^127(\.\d{1,3}){3}$/.test(host)) return host;
  if (isIP(host) && trustProxy.length > 0) return host;
  throw new ConfigError(
    `HOST is "${host}": this version has no accounts, so it listens on this machine only (127.0.0.1, ::1 or localhost), or on an IP address for the proxies of TRUST_PROXY alone`,
  );
}

/** IP addresses, and networks as ADDRESS/BITS. */
function readNetworks(env: Environment, name: string): string[] {
  const parts = text(env, name)?.split(',') ?? [];
  return parts.map((part) => {
    const [address, bits, ...more] = part.trim().split('/');
    const most = isIP(address) === 6 ? 128 : 32;
    const isFit = bits === undefined || (/^\d{1,3}$/.test(bits) && Number(bits) > 0 && Number(bits) <= most);
    if (isIP(address) && isFit && more.length === 0) return part.trim();
    throw new ConfigError(
      `${name} has "${part.trim()}": give IP addresses or networks such as 10.1.2.0/24, with commas between`,
    );
  });
}

function readPort(env: Environment): number {
  const value = text(env, 'PORT') ?? '4150';
  const port = Number(value);
  if (/^\d+$/.test(value) && port <= 65535) return port;
  throw new ConfigError(`PORT is "${value}": give a whole number from 0 to 65535 (0: any free port)`);
}

function readWhole(
  env: Environment,
  name: string,
  { usual, least, most }: { usual: number; least: number; most: number },
): number {
  const value = text(env, name) ?? String(usual);
  const number = Number(value);
  if (/^\d{1,9}$/.test(value) && number >= least && number <= most) return number;
  throw new ConfigError(`${name} is "${value}": give a whole number from ${least} to ${most}`);
}

function readUrl(env: Environment, name: string, protocols: string[]): string | null {
  const value = text(env, name);
  if (value === null) return null;
  const allowed = protocols.map((protocol) => `${protocol}//`).join(' or ');
  // The value is not repeated: a database address holds a password.
  if (!URL.canParse(value)) throw new ConfigError(`${name} is not an address; it starts with ${allowed}`);
  const { protocol } = new URL(value);
  if (!protocols.includes(protocol)) {
    throw new ConfigError(`${name} starts with ${protocol}// but has to start with ${allowed}`);
  }
  return value;
}

function readWord(env: Environment, name: string, words: string[], usual: string): string {
  const value = text(env, name) ?? usual;
  if (words.includes(value)) return value;
  throw new ConfigError(`${name} is "${value}": use one of ${words.join(', ')}`);
}
