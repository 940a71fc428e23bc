import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createTestApp, projectPath, registerCsv, shotsCsv, type TestApp } from '../../helpers/app.ts';
import { hasPoppler, infoOf, textOf } from '../../helpers/pdf.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
const nights = `${projectPath}/nights`;

beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(12));
  await storeFile(test, 'shots.csv', shotsCsv(12), { surfaceName: 'Levelled' });
  await test.plan();
  const assign = (ids: string[], given: object) =>
    test.inject({
      method: 'POST',
      url: `${projectPath}/covers/assign`,
      payload: { selection: { ids }, ...given },
    });
  for (const [crew, ids] of [
    ['A', ['C-001', 'C-002', 'C-003']],
    ['B', ['C-004']],
  ] as const) {
    const answer = await assign([...ids], { crew, night: '2026-11-26' });
    expect(answer.statusCode, answer.body).toBeLessThan(300);
  }
});
afterAll(() => test.close());

async function pdf(url: string): Promise<Buffer> {
  const answer = await test.inject(url);
  expect(answer.statusCode, answer.body.slice(0, 300)).toBe(200);
  expect(answer.headers['content-type']).toBe('application/pdf');
  expect(answer.rawPayload.subarray(0, 5).toString()).toBe('%PDF-');
  return answer.rawPayload;
}

describe('documents on paper', () => {
  it.each([
    [`${projectPath}/covers/C-999/sheet.pdf`, 404, 'There is no cover "C-999" in project "quay-lane".'],
    [
      '/api/agencies/mossvale/projects/none/covers/C-001/sheet.pdf',
      404,
      'There is no project "none" of agency "mossvale".',
    ],
    ['/api/agencies/none/projects/quay-lane/covers/C-001/sheet.pdf', 404, 'There is no agency "none".'],
    [`${projectPath}/covers/C-001/sheet.pdf?paper=a5`, 400, '/paper'],
    [`${nights}/2026-02-30/list.pdf`, 400, '/night: is no day'],
    [`${nights}/tonight/list.pdf`, 400, '/night'],
    [`${nights}/2026-11-27/sheets.pdf`, 404, 'There is no cover for Fri 27 Nov 2026.'],
  ])('answer %s with a problem, %d', async (url, status, detail) => {
    const answer = await test.inject(url);
    expect(answer.statusCode).toBe(status);
    expect(answer.headers['content-type']).toContain('application/problem+json');
    expect(answer.json<{ detail: string }>().detail).toContain(detail);
  });

  it('take the title of a file from what they are, with nothing that ends a header', async () => {
    const { headers } = await test.inject(
      `${nights}/2026-11-26/list.pdf?crew=${encodeURIComponent('A"\r\nB')}`,
    );
    expect(headers['content-security-policy']).toBe("frame-ancestors 'none'");
    expect(headers['content-disposition']).toBe('inline; filename="List of Thu 26 Nov 2026_ crew A_B.pdf"');
  });
});

describe('the code on a sheet', () => {
  it('leads to the card at the address that the sheet was asked for at', async () => {
    const answer = await test.inject({
      url: `${projectPath}/covers/C-002/sheet.pdf`,
      headers: { host: 'localhost:8080' },
    });
    expect(answer.rawPayload.toString('latin1')).toContain(
      'QR code of the card: http://localhost:8080/?project=quay-lane&cover=C-002',
    );
  });
});

describe.skipIf(!hasPoppler)('times on paper', () => {
  const patch = async (timeZone: string | null) => {
    const { headers } = await test.inject(projectPath);
    const ifMatch = { 'if-match': headers.etag as string };
    const payload = { policy: { timeZone } };
    return test.inject({ method: 'PATCH', url: projectPath, headers: ifMatch, payload });
  };
  const foot = async () =>
    textOf(await pdf(`${projectPath}/covers/C-001/sheet.pdf`)).match(/Printed (.*?)\./)![1];

  it('are those of the project’s zone, which says how it stands to UTC, and leave plans as they are', async () => {
    // India has been at UTC+5:30 all year since 1945 (IANA time zone database, zone Asia/Kolkata).
    const { planStale } = (await test.inject(projectPath)).json();
    const patched = await patch('Asia/Kolkata');
    expect(patched.json()).toMatchObject({
      limits: { timeZone: { value: 'Asia/Kolkata', from: 'project' } },
      planStale,
    });
    const [, hour, minute] = /(\d\d):(\d\d) GMT\+5:30$/.exec(await foot())!;
    const there = Number(hour) * 60 + Number(minute);
    const now = new Date();
    const expected = (now.getUTCHours() * 60 + now.getUTCMinutes() + 330) % 1440;
    // A minute may turn between the two; at midnight it turns to 0.
    expect([0, 1, 1439]).toContain((expected - there + 1440) % 1440);
    const street = encodeURIComponent('Quay Lane');
    const pack = textOf(await pdf(`${projectPath}/acceptance.pdf?street=${street}`), 1);
    expect(pack).toContain('Times are those of Asia/Kolkata the project’s');
    expect((await patch(null)).json().limits.timeZone.from).toBe('default');
    expect(await foot()).toMatch(/ (UTC|GMT[+-].*|[A-Z]{3,4})$/);
  }, 30_000);

  it.each(['Mars/Olympus', '+05:00', 'Eastern'])('of %s there are none', async (zone) => {
    const answer = await patch(zone);
    expect(answer.statusCode).toBe(400);
    expect(answer.json<{ detail: string }>().detail).toContain('/policy/timeZone');
  });
});

describe.skipIf(!hasPoppler)('documents on paper, read with poppler', () => {
  it('a sheet is one A4 page for an agency in millimetres, Letter when asked', {
    timeout: 20_000,
  }, async () => {
    const sheet = await pdf(`${projectPath}/covers/C-002/sheet.pdf`);
    expect(infoOf(sheet)).toMatchObject({ pages: 1, title: 'Crew sheet C-002', size: [595.276, 841.89] });
    const letter = await pdf(`${projectPath}/covers/C-002/sheet.pdf?paper=letter`);
    expect(infoOf(letter)).toMatchObject({ pages: 1, size: [612, 792] });
    const text = textOf(sheet);
    expect(text).toContain('C-002');
    expect(text).toContain('Stop 2 of 3');
    expect(text).toContain('Raise 50 mm');
    expect(text).toContain('1 Flat 30 mm F30');
    expect(text).toContain('Plan 1 of');
    expect(text).not.toContain('Replaced');
  });

  it('a list has the stops of one crew or of all, with the rings to load', async () => {
    const text = textOf(await pdf(`${nights}/2026-11-26/list.pdf?crew=A`));
    expect(text).toContain('Thu 26 Nov 2026, crew A');
    expect(text).toContain('3 covers');
    expect(text).toContain('C-001');
    expect(text).not.toContain('C-004');
    expect(text).toContain('To load:');
    expect(text).toContain('Page 1 of 1');
    expect(text).toContain(
      'The permit, the local code and the competent person on site come before this paper.',
    );
    expect(textOf(await pdf(`${nights}/2026-11-26/list.pdf`))).toContain('4 covers');
    expect(textOf(await pdf(`${nights}/none/list.pdf?crew=`))).toContain('8 covers');
    expect(textOf(await pdf(`${nights}/2026-11-27/list.pdf`))).toContain('No cover has this night.');
  });

  it('the sheets of a night come in its order, one page each', async () => {
    const sheets = await pdf(`${nights}/2026-11-26/sheets.pdf?crew=A`);
    expect(infoOf(sheets).pages).toBe(3);
    for (const [index, id] of ['C-001', 'C-002', 'C-003'].entries()) {
      expect(textOf(sheets, index + 1)).toContain(`${id} Stop ${index + 1} of 3`);
    }
  });

  it('says that something changed since the plan', async () => {
    const card = await test.inject(`${projectPath}/covers/C-012`);
    const answer = await test.inject({
      method: 'PATCH',
      url: '/api/agencies/mossvale/structures/C-012',
      headers: { 'if-match': card.headers.etag as string },
      payload: { seatElevationM: 99.74 },
    });
    expect(answer.statusCode, answer.body).toBe(200);
    expect(textOf(await pdf(`${projectPath}/covers/C-012/sheet.pdf`))).toContain(
      'Something changed since this plan',
    );
  });
});
