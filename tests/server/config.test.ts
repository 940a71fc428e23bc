import { describe, expect, it } from 'vitest';
import { ConfigError, readConfig } from '../../server/config.ts';

describe('the settings', () => {
  it('have defaults that work with nothing set', () => {
    expect(readConfig({})).toMatchObject({
      host: '127.0.0.1',
      port: 4150,
      databaseUrl: null,
      basemapStyleUrl: null,
      logLevel: 'warn',
      buildWeb: true,
      loadDemo: true,
    });
  });

  it('take what is set, blank being as good as absent', () => {
    const env = {
      HOST: '::1',
      PORT: '0',
      DATABASE_URL: 'postgres://u:p@h/d',
      BASEMAP_STYLE_URL: ' ',
      LOG_LEVEL: 'debug',
    };
    expect(readConfig(env)).toMatchObject({
      host: '::1',
      port: 0,
      databaseUrl: env.DATABASE_URL,
      basemapStyleUrl: null,
    });
  });

  it('take the address for codes on paper without a slash at its end', () => {
    expect(readConfig({}).publicUrl).toBeNull();
    expect(readConfig({ PUBLIC_URL: 'https://covers.example/grade/' }).publicUrl).toBe(
      'https://covers.example/grade',
    );
  });

  it.each([
    ['PORT', '65536'],
    ['PORT', '-1'],
    ['PORT', '80a'],
    ['PORT', '1e3'],
    ['LOG_LEVEL', 'loud'],
    ['MAX_UPLOAD_MB', '0'],
    ['MAX_UPLOAD_MB', '1.5'],
    ['MAX_UPLOAD_MB', '102401'],
    ['KEEP_UPLOADS_DAYS', 'two'],
    ['DATABASE_URL', 'mysql://h/d'],
    ['DATABASE_URL', 'h/d'],
    ['BASEMAP_STYLE_URL', 'file:///style.json'],
    ['BASEMAP_STYLE_URL', 'javascript:alert(1)'],
    ['PUBLIC_URL', 'covers.example'],
    ['WEB_BUILD', 'yes'],
    ['DEMO', 'on'],
  ])('that are unfit are refused by the name of the variable: %s=%s', (name, value) => {
    expect(() => readConfig({ [name]: value })).toThrow(ConfigError);
    expect(() => readConfig({ [name]: value })).toThrow(new RegExp(`^${name} `));
  });

  it('never repeat a database password in a message', () => {
    expect(() => readConfig({ DATABASE_URL: 'postgres//u:secret@h/d' })).toThrow(/^(?!.*secret)/);
    expect(() => readConfig({ DATABASE_URL: 'http://u:secret@h/d' })).toThrow(/^(?!.*secret)/);
  });

  it.each(['0.0.0.0', '::', '192.168.1.10', 'example.org', '127.0.0.1.example.org', '128.0.0.1'])(
    'refuse a HOST beyond this machine: %s',
    (host) => {
      expect(() => readConfig({ HOST: host })).toThrow(/^HOST is .* no accounts/);
    },
  );

  it.each(['127.0.0.1', '127.1.2.3', 'localhost', '::1'])('allow a HOST on this machine: %s', (host) => {
    expect(readConfig({ HOST: host }).host).toBe(host);
  });
});
