import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { made, send } from '../../helpers/field.ts';
import { coloursOf, hasPoppler, infoOf, textOf } from '../../helpers/pdf.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
const packPath = `${projectPath}/acceptance.pdf?street=${encodeURIComponent('Quay Lane')}`;
const picture = readFileSync(new URL('../paper/red-and-blue.png', import.meta.url));
const sha256 = createHash('sha256').update(picture).digest('hex');

const vacuum = (outcome: 'passed' | 'failed') =>
  ({
    tableId: null,
    scope: 'structure',
    diameterM: 1.2,
    depthM: 3,
    headAt: 'frame',
    frameInPlace: true,
    startInHg: 10,
    endInHg: outcome === 'passed' ? 9.3 : 8,
    seconds: 60,
    requiredSeconds: 60,
    gauge: 'G-4',
    outcome,
    reason: '',
  }) as const;
const rim = (errors: [number, number, number, number]) => ({
  method: 'level' as const,
  rimErrorsM: errors,
  sigmaM: 0.001,
});

beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(4));
  await storeFile(test, 'shots.csv', shotsCsv(4), { surfaceName: 'Levelled' });
  await test.plan();
  const photo = { sha256, bytes: picture.length, mediaType: 'image/png' as const, caption: 'Lid off' };
  const ties = [{ to: 'hydrant', distanceM: 5.59 }];
  const sent = await send(
    test,
    made('C-001', 'found', { outcome: 'found', ties, note: '' }),
    made('C-001', 'photo', photo),
    made('C-001', 'vacuum', vacuum('failed')),
    made('C-001', 'vacuum', vacuum('passed')),
    made('C-001', 'rimChecked', rim([0.002, 0, -0.003, 0])),
    made('C-001', 'accepted', { accepted: true, reasons: [], reason: '' }, { by: 'Ada Mole' }),
    made('C-002', 'rimChecked', rim([0.012, 0, 0, 0])),
    made('C-003', 'plated', { plate: 'P-14', rimElevationM: null, ties: [] }),
    made('C-004', 'stackChosen', {
      because: 'truck',
      reason: 'no 30 mm left on the truck',
      tapes: null,
      truck: null,
      jointM: { base: 0.0025, between: 0.0025, top: 0.0025 },
      stack: [{ ring: 'F50', azimuthDeg: null }],
      worstM: 0.002,
      centreM: 0.001,
      tiltM: 0.001,
      planRevision: 1,
      planStack: [{ ring: 'F30', azimuthDeg: null }],
    }),
  );
  expect(sent.map(({ outcome }) => outcome)).toEqual(Array(9).fill('stored'));
});
afterAll(() => test.close());

async function pdf(url: string): Promise<Buffer> {
  const answer = await test.inject(url);
  expect(answer.statusCode, answer.body.slice(0, 300)).toBe(200);
  return answer.rawPayload;
}

async function patch(url: string, payload: object): Promise<void> {
  const { headers } = await test.inject(url);
  const ifMatch = { 'if-match': headers.etag as string };
  const answer = await test.inject({ method: 'PATCH', url, headers: ifMatch, payload });
  expect(answer.statusCode, answer.body).toBe(200);
}

describe('an acceptance pack', () => {
  it.each([
    [`${projectPath}/acceptance.pdf`, 400, 'street'],
    [`${projectPath}/acceptance.pdf?street=Nowhere`, 404, 'There is no cover in "Nowhere"'],
  ])('answers %s with a problem, %d', async (url, status, detail) => {
    const answer = await test.inject(url);
    expect(answer.statusCode).toBe(status);
    expect(answer.headers['content-type']).toContain('application/problem+json');
    expect(answer.json<{ detail: string }>().detail).toContain(detail);
  });
});

describe.skipIf(!hasPoppler)('an acceptance pack, read with poppler', () => {
  it('counts what was accepted, not accepted and not checked, and lists why not', async () => {
    const bytes = await pdf(packPath);
    expect(infoOf(bytes)).toMatchObject({ title: 'Acceptance pack Quay Lane', isTagged: true });
    const title = textOf(bytes, 1);
    expect(title).toContain('4 covers 1 Accepted 1 NOT ACCEPTED 2 NOT CHECKED');
    expect(title).toContain('Rim proud, at most 6 mm default');
    expect(title).toContain(
      'C-002 NOT ACCEPTED. The rim is 12 mm proud at 12 o’clock; allowed are 6 mm proud and 6 mm low. The shots round the rim lie up to 3 mm off one plane',
    );
    expect(title).toContain(
      'C-003 NOT CHECKED. Plate P-14 was not reopened. The rim was not checked since it was last worked on. Nobody has accepted it yet.',
    );
  });

  it('shows tests with their retests, and who accepted', async () => {
    const text = textOf(await pdf(packPath), 2);
    expect(text).toContain('FAILED, structure, 10 to 8 inHg in 60 s, 60 s required');
    expect(text).toContain('Retest 1 passed');
    expect(text).toContain('Ada Mole');
    expect(text).toContain('Straightedge Not tested, not asked for');
    expect(text).toContain('Most proud 2 mm proud Lowest 3 mm low');
  });
});

describe.skipIf(!hasPoppler)('sheets after work at the hole', () => {
  const sheet = (id: string) => pdf(`${projectPath}/covers/${id}/sheet.pdf`);

  it('have its ties, and say of a photo that it has not come yet, then print it', async () => {
    const before = textOf(await sheet('C-001'));
    expect(before).toContain('Find it: 1 tape');
    expect(before).toContain('5.59 m hydrant');
    expect(before).toContain('The photo has not come from its phone yet.');
    const sent = await test.inject({
      method: 'PATCH',
      url: `${agencyPath}/photos/${sha256}`,
      headers: { 'content-type': 'image/png', 'upload-offset': '0', 'upload-complete': '?1' },
      payload: picture,
    });
    expect(sent.statusCode, sent.body).toBe(200);
    const after = await sheet('C-001');
    expect(textOf(after)).toContain('What you should see');
    expect(textOf(after)).not.toContain('has not come');
    expect(coloursOf(after).mostSaturated).toBeLessThanOrEqual(1);
    expect(coloursOf(after).greys).toBeGreaterThan(coloursOf(await sheet('C-002')).greys + 1000);
    expect(textOf(await pdf(packPath), 2)).toContain('Lid off');
  }, 30_000);

  it('have the stack that was chosen there, with the plan’s', async () => {
    const text = textOf(await sheet('C-004'));
    expect(text).toContain('chosen at the hole by Ida Brook');
    expect(text).toContain('no 30 mm left on the truck');
    expect(text).toContain('1 Flat 50 mm F50');
  });

  it('have the plate that has to be reopened, the list too', async () => {
    expect(textOf(await sheet('C-003'))).toContain('Plate no. P-14');
    expect(textOf(await pdf(`${projectPath}/nights/none/list.pdf`))).toContain('plate P-14: reopen');
  });
});

describe.skipIf(!hasPoppler)('what an agency asks for', () => {
  it('is what the pack judges by and the sheet prints', async () => {
    const table = {
      id: 'example',
      name: 'Example times',
      source: 'Example specification, section 4',
      scope: 'structure',
      diameterUnit: 'mm',
      depthUnit: 'm',
      drawInHg: 10,
      startInHg: 10,
      endInHg: 9,
      settleSeconds: 0,
      passes: 'atLeast',
      headAt: 'frame',
      frameInPlace: null,
      rows: [{ diameter: null, depth: null, seconds: 75, secondsPerDepth: 0 }],
    };
    const put = await test.inject({
      method: 'PUT',
      url: `${agencyPath}/vacuum-tables/example`,
      payload: table,
    });
    expect(put.statusCode, put.body).toBeLessThan(300);
    const policy = {
      vacuumTest: 'all',
      vacuumTableId: 'example',
      straightedgeAlongM: 0.003,
      acceptProudM: 0,
    };
    await patch(projectPath, { policy });
    expect(textOf(await pdf(`${projectPath}/covers/C-002/sheet.pdf`))).toContain('Vacuum: 75 s or more');
    const title = textOf(await pdf(packPath), 1);
    expect(title).toContain('Rim proud, at most 0 mm the project’s');
    expect(title).toContain('Under it along, at most 3 mm the project’s');
    expect(title).toContain('Passed vacuum test asked for the project’s');
    expect(title).toContain('A passed vacuum test is asked for, and none was recorded.');
    expect(title).toContain('No straightedge of 3.0 m was laid over it.');
    const cover = textOf(await pdf(packPath), 2);
    expect(cover).toContain('Accepted by Ada Mole although: The rim is 2 mm proud at 12 o’clock');
    expect(cover).toContain('Straightedge NOT TESTED, and asked for');
  }, 30_000);

  it('is judged once: card and pack say the same of route, bevel, straightedge and a test begun too low', async () => {
    await patch(projectPath, { policy: { acceptProudM: 0.02, straightedgeAlongM: 0.003 } });
    await patch(`${agencyPath}/structures/C-004`, { accessibleRoute: true });
    const readings = [
      { atM: 0, downM: 0, on: 'mat' as const },
      { atM: 1.5, downM: 0.005, on: 'casting' as const },
      { atM: 3, downM: 0, on: 'mat' as const },
    ];
    const along = { gapM: 0.001, proudM: 0, readings };
    const far = { ...along, readings: [...readings, { atM: 3.5, downM: 0, on: 'mat' as const }] };
    const low = { ...vacuum('failed'), tableId: 'example', startInHg: 9.5, endInHg: 8, seconds: 80 };
    const sent = await send(
      test,
      made('C-004', 'rimChecked', rim([0.01, 0.01, 0.01, 0.01])),
      made('C-004', 'bevelled', { riseM: 0.01, runM: 0.015 }),
      made('C-004', 'vacuum', low),
      made('C-004', 'straightedge', { lengthM: 3, along, across: null }),
      made('C-004', 'straightedge', { lengthM: 3, along: far, across: null }),
    );
    expect(sent.map(({ outcome }) => outcome)).toEqual([...Array(4).fill('stored'), 'refused']);
    expect(sent[4].message).toMatch(/along\/readings a place lies past the end/);
    const card = await test.inject(`${projectPath}/covers/C-004/acceptance`);
    const { reasons } = card.json<{ reasons: { code: string; text: string }[] }>();
    expect(reasons.map(({ code }) => code)).toEqual(
      expect.arrayContaining(['edgeOff', 'routeBevelSteep', 'vacuumNotTested', 'routeSlopeWithin']),
    );
    const pack = await pdf(packPath);
    const title = textOf(pack, 1);
    for (const { text } of reasons) expect(title).toContain(text.replace(/(\d)\/(\d)/g, '$1⁄$2'));
    // 10 to 15 mm is 1:1.5; the rule of 2010 ADA Standards 303.3 is 1:2.
    expect(title).toContain('The bevel rises 66.67 %; an accessible route takes 50.00 % at most.');
    expect(title).toContain('It started at 9.5 inHg; the table starts at 10 inHg.');
    const blocks = [2, 3].map((page) => textOf(pack, page)).join(' ');
    expect(blocks).toContain('Vacuum NOT TESTED, structure, 9.5 to 8 inHg in 80 s');
    expect(blocks).toContain('along gap 5 mm, nothing proud, of 3 readings; across NOT TESTED');
    expect(blocks).toContain('Bevel rises 10 mm in 15 mm');
  }, 30_000);
});
