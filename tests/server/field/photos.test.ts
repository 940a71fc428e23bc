import { createHash } from 'node:crypto';
import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { agencyPath, createTestApp, type TestApp } from '../../helpers/app.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());

const jpeg = (size: number, fill: number) =>
  Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0]), Buffer.alloc(size - 4, fill)]);
const hashOf = (bytes: Buffer) => createHash('sha256').update(bytes).digest('hex');
const urlOf = (sha256: string, agency = agencyPath) => `${agency}/photos/${sha256}`;
const folder = () => join(test.uploads.path, '..', 'photos', 'mossvale');

const patch = (sha256: string, part: Buffer, offset: number, headers: Record<string, string> = {}) =>
  test.inject({
    method: 'PATCH',
    url: urlOf(sha256),
    headers: { 'content-type': 'application/partial-upload', 'upload-offset': String(offset), ...headers },
    payload: part,
  });

describe('a picture', () => {
  const picture = jpeg(5000, 7);
  const sha256 = hashOf(picture);

  it('is sent in parts, goes on where it was cut off, and is whole once it has its hash', async () => {
    expect((await test.inject({ method: 'HEAD', url: urlOf(sha256) })).headers['upload-offset']).toBe('0');
    const first = await patch(sha256, picture.subarray(0, 2000), 0);
    expect([first.statusCode, first.json()]).toEqual([
      200,
      { sha256, receivedBytes: 2000, complete: false, mediaType: null },
    ]);
    const head = await test.inject({ method: 'HEAD', url: urlOf(sha256) });
    expect([head.statusCode, head.headers['upload-offset'], head.headers['upload-complete']]).toEqual([
      ...[204, '2000', '?0'],
    ]);
    expect((await test.inject(urlOf(sha256))).statusCode).toBe(404);
    const wrong = await patch(sha256, picture.subarray(1000), 1000);
    expect([wrong.statusCode, wrong.headers['upload-offset']]).toEqual([409, '2000']);
    const last = await patch(sha256, picture.subarray(2000), 2000);
    expect(last.json()).toEqual({ sha256, receivedBytes: 5000, complete: true, mediaType: 'image/jpeg' });
    const again = await patch(sha256, picture, 0);
    expect(again.json()).toEqual(last.json());
  });

  it('is served with its own type, for good, and not to another agency', async () => {
    const answer = await test.inject(urlOf(sha256));
    expect(answer.rawPayload.equals(picture)).toBe(true);
    expect(answer.headers).toMatchObject({
      'content-type': 'image/jpeg',
      'x-content-type-options': 'nosniff',
      'cache-control': 'private, max-age=31536000, immutable',
    });
    const headers = { 'if-none-match': answer.headers.etag as string };
    expect((await test.inject({ url: urlOf(sha256), headers })).statusCode).toBe(304);
    expect((await test.inject(urlOf(sha256, '/api/agencies/elsewhere'))).statusCode).toBe(404);
  });

  it('with another hash is refused, and its bytes are dropped', async () => {
    const other = jpeg(3000, 1);
    const name = hashOf(jpeg(3000, 2));
    const answer = await patch(name, other, 0, { 'upload-length': '3000' });
    expect(answer.statusCode).toBe(422);
    expect(readdirSync(folder()).some((file) => file.startsWith(name))).toBe(false);
    const right = await patch(name, jpeg(3000, 2), 0, { 'upload-complete': '?1' });
    expect(right.json()).toMatchObject({ complete: true });
  });

  it('that is none is refused whatever it calls itself', async () => {
    const page = Buffer.from('<html><script>alert(1)</script></html>');
    const answer = await patch(hashOf(page), page, 0, { 'content-type': 'image/jpeg' });
    expect(answer.statusCode).toBe(422);
    expect(answer.json().detail).toContain('no JPEG, PNG or WebP');
    expect(existsSync(join(folder(), hashOf(page)))).toBe(false);
  });

  it('that is too large is refused, and so is one that runs past the length it was announced with', async () => {
    const name = hashOf(jpeg(4000, 3));
    const huge = await patch(name, jpeg(4000, 3), 0, { 'upload-length': '50000001' });
    expect(huge.statusCode).toBe(413);
    const longer = await patch(name, jpeg(4000, 3), 0, { 'upload-length': '3999' });
    expect(longer.statusCode).toBe(413);
    expect((await patch('nothash', jpeg(10, 1), 0)).statusCode).toBe(400);
  });

  it('that comes twice at once is taken once', async () => {
    const bytes = jpeg(400_000, 9);
    const answers = await Promise.all([1, 2, 3].map(() => patch(hashOf(bytes), bytes, 0)));
    expect(answers.every(({ statusCode }) => statusCode === 200 || statusCode === 409)).toBe(true);
    expect((await test.inject(urlOf(hashOf(bytes)))).rawPayload.equals(bytes)).toBe(true);
  });
});
