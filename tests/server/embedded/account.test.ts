import { chmodSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { canUse, dataOwner, findAccount, invocation } from '../../../server/embedded/account.ts';
import { takeOwnership } from '../../../server/embedded/owner.ts';

const folder = mkdtempSync(join(tmpdir(), 'rimplane-account-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const passwd = [
  'root:x:0:0:root:/root:/bin/bash',
  'nobody:x:65534:65533:nobody:/nonexistent:/usr/sbin/nologin',
  'postgres:x:101:104:PostgreSQL:/var/lib/postgresql:/bin/bash',
].join('\n');

describe('the account that PostgreSQL runs as under root', () => {
  it('is postgres, else nobody', () => {
    expect(findAccount(passwd)).toEqual({ name: 'postgres', uid: 101, gid: 104 });
    expect(findAccount(passwd.replace('postgres:', 'other:'))).toEqual({
      name: 'nobody',
      uid: 65534,
      gid: 65533,
    });
  });

  it('is never root under another name', () => {
    const renamed = 'postgres:x:0:0::/root:/bin/sh';
    expect(() => findAccount(renamed)).toThrow(/set DATABASE_URL/);
  });

  it('decides how a program is called and who owns the data', () => {
    const account = { name: 'nobody', uid: 7, gid: 8 };
    expect(invocation({ how: 'self' }, 'initdb', ['-D'])).toEqual({
      file: 'initdb',
      args: ['-D'],
      options: {},
    });
    expect(invocation({ how: 'account', account }, 'initdb', []).options).toEqual({ uid: 7, gid: 8 });
    expect(invocation({ how: 'namespace', account }, 'initdb', ['-D'])).toEqual({
      file: 'unshare',
      args: ['--user', '--map-user=7', '--map-group=8', '--', 'initdb', '-D'],
      options: {},
    });
    expect(dataOwner({ how: 'self' })).toBeNull();
    expect(dataOwner({ how: 'account', account })).toMatchObject({ uid: 7, gid: 8 });
    expect(dataOwner({ how: 'namespace', account })).toEqual({ uid: 0, gid: 0 });
  });

  it.skipIf(process.getuid?.() !== 0)('(as root) cannot use a folder below one that is closed to it', () => {
    const account = findAccount();
    const inside = join(folder, 'inside');
    mkdirSync(inside);
    chmodSync(folder, 0o700);
    expect(canUse(account, '/bin/sh', inside)).toBe(false);
    chmodSync(folder, 0o755);
    expect(canUse(account, '/bin/ls', inside)).toBe(true);
    expect(canUse(account, '/no/such/program', inside)).toBe(false);
  });
});

describe('ownership of a data folder', () => {
  it('is one at a time, and free again once released', async () => {
    const first = await takeOwnership(folder, folder);
    await expect(takeOwnership(folder, folder)).rejects.toThrow(`DATA_DIR ${folder}`);
    await first.release();
    const second = await takeOwnership(folder, folder);
    await second.release();
  });
});
