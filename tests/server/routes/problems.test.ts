import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { agencyPath, createTestApp, projectPath, registerCsv, type TestApp } from '../../helpers/app.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(3));
});
afterAll(() => test.close());

const structure = {
  id: 'N-1',
  kind: 'sanitary',
  lon: 9,
  lat: 48.005,
  seatElevationM: 99.7,
  frameHeightM: 0.15,
  rimDiameterM: 0.6,
  projectId: 'quay-lane',
};

describe('RFC 9457 problem details', () => {
  it('has every member and the media type of the standard', async () => {
    const answer = await test.inject(`${agencyPath}/structures?limit=0`);
    expect(answer.statusCode).toBe(400);
    expect(answer.headers['content-type']).toBe('application/problem+json');
    expect(answer.json()).toEqual({
      type: 'about:blank',
      title: 'The query does not fit',
      status: 400,
      detail: '/limit: must be >= 1',
      instance: `${agencyPath}/structures`,
      errors: [{ path: '/limit', message: 'must be >= 1', value: '0' }],
    });
  });

  it.each([
    [`${agencyPath}/structures?colour=red`, '/colour'],
    [`${agencyPath}/structures?limit=1.5`, '/limit'],
    [`${agencyPath}/structures?limit=many`, '/limit'],
    [`${agencyPath}/structures?limit=2001`, '/limit'],
    [`${agencyPath}/structures?limit=5&limit=6`, '/limit'],
    [`${agencyPath}/structures?owner=a&owner=b`, '/owner'],
    [`${agencyPath}/structures?after=%27%3B--`, '/after'],
    [`${projectPath}/covers?status=raise,flying`, '/status'],
    [`${projectPath}/covers?order=id`, '/order'],
    [`${projectPath}?verbose=1`, '/verbose'],
    ['/api/health?deep=1', '/deep'],
  ])('%s is refused with 400 naming %s', async (url, path) => {
    const answer = await test.inject(url);
    expect(answer.statusCode).toBe(400);
    expect(answer.json().errors.map((fault: { path: string }) => fault.path)).toContain(path);
  });

  it.each(['0.05079999999999999988342658', String(1 / 3), '5.08e-2', '0.000000000000000000000000000001e29'])(
    'a query takes %s as the number that it is',
    async (digits) => {
      const answer = await test.inject(`${agencyPath}/overlay-outlook?thicknessM=${digits}`);
      expect(answer.json()).toMatchObject({ overlay: { thicknessM: Number(digits) } });
    },
  );

  it.each(['0x1', '1e-400e', '.', '1e999', 'Infinity', '%20', '--1'])(
    'a query takes %s for no number',
    async (text) => {
      const answer = await test.inject(`${agencyPath}/overlay-outlook?thicknessM=${text}`);
      expect(answer.json()).toMatchObject({ status: 400, detail: '/thicknessM: must be number' });
    },
  );

  it.each([
    [{ ...structure, colour: 'red' }, '/colour'],
    [{ ...structure, seatElevationM: '99.7' }, '/seatElevationM'],
    [
      { ...structure, condition: { located: true, chimneyUnsound: null, frameUnsound: null, rusty: true } },
      '/condition/rusty',
    ],
    [{ ...structure, frameHeightM: 0 }, '/frameHeightM'],
    [{ ...structure, id: 'a/b' }, '/id'],
    [{ ...structure, lat: undefined }, '/lat'],
    [{ ...structure, eastingM: 500_000 }, '/lon'],
    [{ ...structure, roadBearingDeg: 361 }, '/roadBearingDeg'],
    [{ ...structure, projectId: 'nowhere' }, '/projectId'],
    [{ id: 'N-1' }, '/kind'],
  ])('a structure with a fault is refused with 400 naming it (%#)', async (body, path) => {
    const answer = await test.inject({ method: 'POST', url: `${agencyPath}/structures`, payload: body });
    expect(answer.statusCode).toBe(400);
    expect(answer.json().errors.map((fault: { path: string }) => fault.path)).toContain(path);
    expect((await test.inject(`${agencyPath}/structures/N-1`)).statusCode).toBe(404);
  });

  it.each([
    '/api/agencies/nowhere',
    '/api/agencies/nowhere/structures',
    '/api/agencies/nowhere/streets',
    `${agencyPath}/structures/C-999`,
    `${agencyPath}/projects/nowhere`,
    `${agencyPath}/projects/nowhere/covers`,
    `${projectPath}/covers/C-999`,
    `${projectPath}/surfaces/none/shots`,
    `${agencyPath}/ring-catalogues/none`,
    `${agencyPath}/jobs/not-a-uuid`,
    `${agencyPath}/jobs/00000000-0000-4000-8000-000000000000`,
    '/api/nothing',
    '/nothing',
  ])('%s is not found', async (url) => {
    const answer = await test.inject(url);
    expect(answer.statusCode).toBe(404);
    expect(answer.headers['content-type']).toBe('application/problem+json');
    expect(answer.json().instance).toBe(url);
  });

  it('a method that an address does not take is answered with 405 and Allow', async () => {
    const answer = await test.inject({ method: 'DELETE', url: `${agencyPath}/structures` });
    expect(answer.statusCode).toBe(405);
    expect(answer.headers.allow).toBe('GET, HEAD, POST');
  });

  it('a body that is no JSON is refused with 400', async () => {
    const answer = await test.inject({
      method: 'POST',
      url: `${agencyPath}/structures`,
      headers: { 'content-type': 'application/json' },
      payload: '{"id":',
    });
    expect(answer.statusCode).toBe(400);
    expect(answer.headers['content-type']).toBe('application/problem+json');
  });

  it('a failure inside the server says nothing of its cause', async () => {
    await test.database.kysely.schema.alterTable('streets').renameTo('streets_away').execute();
    const answer = await test.inject(`${agencyPath}/streets`);
    await test.database.kysely.schema.alterTable('streets_away').renameTo('streets').execute();
    expect(answer.statusCode).toBe(500);
    expect(answer.body).not.toContain('streets_away');
    expect(answer.json().detail).toBe('The server failed on this request; its log says why.');
  });
});

describe('other sites', () => {
  it('a page of another origin changes nothing', async () => {
    const url = `${projectPath}/plans`;
    for (const headers of [
      { origin: 'http://elsewhere.example' },
      { origin: 'null' },
      { 'sec-fetch-site': 'cross-site' },
    ]) {
      expect((await test.inject({ method: 'POST', url, headers })).statusCode).toBe(403);
    }
    expect((await test.inject(projectPath)).json().latestJob).toBeNull();
  });

  it('a foreign name that was pointed at this machine reads nothing', async () => {
    const answer = await test.inject({ url: '/api/agencies', headers: { host: 'elsewhere.example' } });
    expect(answer.statusCode).toBe(403);
  });

  it('the page of this server may change things', async () => {
    const headers = {
      host: '127.0.0.1:4150',
      origin: 'http://127.0.0.1:4150',
      'sec-fetch-site': 'same-origin',
    };
    const payload = { name: 'Quay Lane overlay' };
    const answer = await test.inject({
      method: 'PATCH',
      url: projectPath,
      headers: { ...headers, 'if-match': '*' },
      payload,
    });
    expect(answer.statusCode).toBe(200);
  });
});
