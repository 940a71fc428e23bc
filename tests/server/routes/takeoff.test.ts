import fc from 'fast-check';
import { sql } from 'kysely';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { CoverRow } from '#shared/cover.ts';
import type { RingSupplies } from '#shared/ring-supply.ts';
import type { Page } from '#shared/schema.ts';
import type { Takeoff } from '#shared/takeoff.ts';
import { agencyPath, projectPath } from '../../helpers/app.ts';
import { made, send } from '../../helpers/field.ts';
import { hasPoppler, textOf } from '../../helpers/pdf.ts';
import { id, planTwelveCovers, type TwelveCovers } from '../../helpers/twelve-covers.ts';

let test: TwelveCovers;
let get: TwelveCovers['get'];
beforeAll(async () => {
  test = await planTwelveCovers();
  ({ get } = test);
  const url = `${agencyPath}/structures/${id(6)}`;
  const headers = { 'if-match': String((await test.inject(url)).headers.etag) };
  const condition = { located: false, chimneyUnsound: null, frameUnsound: null };
  const changed = await test.inject({ method: 'PATCH', url, headers, payload: { condition } });
  expect(changed.statusCode, changed.body).toBe(200);
  await test.plan();
}, 60_000);
afterAll(() => test?.close());

const ofProject = `${projectPath}/ring-supplies`;
const ofAgency = `${agencyPath}/ring-catalogues/rings/supplies`;
const takeoff = (query = '') => get<Takeoff>(`${projectPath}/takeoff?${query}`);
const rows = ({ rings }: Takeoff) => Object.fromEntries(rings.map((row) => [row.ring, row]));

async function change(url: string, payload: object, ifMatch?: string) {
  const tag = ifMatch ?? String((await test.inject(url)).headers.etag);
  return test.inject({ method: 'PATCH', url, payload, headers: { 'if-match': tag } });
}

/** The rings of plans that are to be built, counted from the list of covers. */
async function recount(query = ''): Promise<Record<string, number>> {
  const { items } = await get<Page<CoverRow>>(`${projectPath}/covers?limit=2000&${query}`);
  const stands = ['stacked', 'set', 'offGrade', 'accepted'];
  const needed: Record<string, number> = {};
  for (const { stack, status, fieldStatus, telescoping } of items) {
    if (telescoping || (status !== 'raise' && status !== 'lower')) continue;
    if (fieldStatus !== null && stands.includes(fieldStatus)) continue;
    for (const { ring } of stack) needed[ring] = (needed[ring] ?? 0) + 1;
  }
  return needed;
}

const neededIn = ({ rings, unknownRings }: Takeoff) =>
  Object.fromEntries(
    [...rings, ...unknownRings]
      .filter(({ needed }) => needed > 0)
      .map(({ ring, needed }) => [ring, needed] as const),
  );

describe('the takeoff of a planned project', () => {
  it('counts the rings of its plans, once each, and says which covers are not in it', async () => {
    const found = await takeoff();
    // 100 mm from seat to frame: three rings of 30 mm and four joints of 2.5 mm. One of twelve was not found.
    expect(neededIn(found)).toEqual({ F30: 33 });
    expect(await recount()).toEqual({ F30: 33 });
    expect(found).toMatchObject({ planRevision: 2, planStale: false, covers: 12, unit: 'mm' });
    // 5 % of 33 are 1.65: two spares; and one of the thin 20 mm ring, of which none is needed.
    expect(found.totals).toMatchObject({ needed: 33, kinds: 1, spare: 3, toOrder: 36, packs: 36 });
    expect(found.toBuild + found.ringless + found.built + found.leftOut).toBe(12);
    expect(found.reasons.map(({ reason, covers, ids }) => [reason, covers, ids])).toEqual([
      ['review', 1, ['C-006']],
    ]);
  });

  it('is held to the conditions that lists have', async () => {
    const one = await takeoff(`q=${id(3)}`);
    expect([one.covers, one.toBuild]).toEqual([1, 1]);
    expect(neededIn(one)).toEqual(await recount(`q=${id(3)}`));
    expect((await takeoff('status=review')).leftOut).toBe(1);
    expect((await takeoff('street=Nowhere')).covers).toBe(0);
    expect((await takeoff('street=Nowhere')).totals).toMatchObject({ needed: 0, spare: 0, toOrder: 0 });
    const polygon = (await test.boxRound(4, 8)).map((corner) => corner.join(',')).join(' ');
    expect((await takeoff(`${new URLSearchParams({ polygon })}`)).covers).toBe(5);
    const refused = await test.inject(`${projectPath}/takeoff?status=blue`);
    expect([refused.statusCode, refused.json().errors[0].path]).toEqual([400, '/status']);
    for (const list of ['takeoff', 'covers']) {
      const noDay = await test.inject(`${projectPath}/${list}?night=2027-02-30`);
      expect([noDay.statusCode, noDay.json().errors[0].path]).toEqual([400, '/night']);
    }
    expect((await test.inject(`${projectPath}/takeoff?by=owner`)).statusCode).toBe(400);
    expect((await test.inject(`${agencyPath}/projects/none/takeoff`)).statusCode).toBe(404);
  });

  it('follows every assignment and its undo', async () => {
    const nights = async () => (await takeoff('by=night')).groups.map(({ name, covers }) => [name, covers]);
    expect(await nights()).toEqual([[null, 12]]);
    const selection = { ids: [id(3), id(4)] };
    const assign = `${projectPath}/covers/assign`;
    const given = await test.postOk<{ assignmentId: string }>(assign, { selection, night: '2027-05-04' });
    const whole = [
      ['2027-05-04', 2],
      [null, 10],
    ];
    expect(await nights()).toEqual(whole);
    const crew = await test.postOk<{ assignmentId: string }>(assign, { selection, crew: 'North' });
    expect((await takeoff('by=crew')).groups.map(({ name }) => name)).toEqual(['North', null]);
    expect((await takeoff('crew=North&night=2027-05-04')).totals.needed).toBe(6);
    await test.postOk(`${assign}/${crew.assignmentId}/undo`);
    expect((await takeoff('by=crew')).groups.map(({ name }) => name)).toEqual([null]);
    await test.postOk(`${assign}/${given.assignmentId}/undo`);
    expect(await nights()).toEqual([[null, 12]]);
  });

  it('says when the plan is overtaken', async () => {
    const { version } = (await test.inject(projectPath)).json();
    const payload = { policy: { toleranceM: 0.005 } };
    const headers = { 'if-match': `"${version}"` };
    await test.inject({ method: 'PATCH', url: projectPath, payload, headers });
    expect((await takeoff()).planStale).toBe(true);
    await test.plan();
    expect((await takeoff()).planStale).toBe(false);
  });
});

describe('rings from the field', () => {
  const flat = (...rings: string[]) => rings.map((ring) => ({ ring, azimuthDeg: null }));
  const chosen = (cover: string, ...rings: string[]) =>
    made(cover, 'stackChosen', {
      because: 'truck',
      reason: 'No 50 left on the truck',
      tapes: null,
      truck: null,
      jointM: { base: 0.0025, between: 0.0025, top: 0.0025 },
      stack: flat(...rings),
      worstM: 0.001,
      centreM: 0.001,
      tiltM: 0,
      planRevision: 1,
      planStack: [],
    });

  it('stand in place of the plan, and are built once they stand', async () => {
    const before = await takeoff();
    const own = neededIn(await takeoff(`q=${id(1)}`));
    await send(test, chosen(id(1), 'F20', 'F20', 'F20'));
    expect(neededIn(await takeoff(`q=${id(1)}`))).toEqual({ F20: 3 });
    const all = await takeoff();
    for (const ring of ['F20', 'F30', 'F50']) {
      const expected = (rows(before)[ring].needed ?? 0) - (own[ring] ?? 0) + (ring === 'F20' ? 3 : 0);
      expect(rows(all)[ring].needed).toBe(expected);
    }
    const used = made(id(1), 'ringsUsed', {
      stack: flat('F20', 'F30'),
      asChosen: false,
      reason: 'one broke',
    });
    await send(test, used);
    const built = await takeoff(`q=${id(1)}`);
    expect([built.toBuild, built.built, built.totals.needed, built.totals.built]).toEqual([0, 1, 0, 2]);
    expect(rows(built).F30.built).toBe(1);
    await send(test, made(id(1), 'withdrawn', { record: used.id, reason: 'the wrong hole' }));
    expect(neededIn(await takeoff(`q=${id(1)}`))).toEqual({ F20: 3 });
  });

  it('bring in a cover that its plan left out, and leave out one off grade', async () => {
    await send(test, chosen(id(6), 'F30'));
    expect(await takeoff(`q=${id(6)}`)).toMatchObject({ toBuild: 1, leftOut: 0, totals: { needed: 1 } });
    const rimErrorsM: [number, number, number, number] = [0.03, 0.03, 0.03, 0.03];
    await send(
      test,
      made(id(2), 'frameSet', { centred: true, offsetM: null }),
      made(id(2), 'rimChecked', { method: 'level', rimErrorsM, sigmaM: 0.001 }),
    );
    const off = await takeoff(`q=${id(2)}`);
    expect(off.reasons).toMatchObject([{ reason: 'offGrade', covers: 1, ids: [id(2)] }]);
    expect(off.totals.built).toBeGreaterThan(0);
  });

  it('are named where the catalogue does not have them', async () => {
    await send(test, chosen(id(7), '=F99', 'F30'));
    const found = await takeoff(`q=${id(7)}`);
    expect(found.unknownRings).toEqual([{ ring: '=F99', needed: 1, built: 0 }]);
    expect(found.totals.needed).toBe(2);
  });
});

describe('packs, spares and stock', () => {
  beforeEach(async () => {
    const rings = ['F20', 'F30', 'F50'].map((ring) => ({
      ring,
      pack: null,
      spareShare: null,
      spareAtLeast: null,
      onHand: null,
    }));
    for (const url of [ofProject, ofAgency]) await change(url, { spareShare: null, rings });
  });

  it('have defaults, each shown as one', async () => {
    const { spareShare, rings } = await get<RingSupplies>(ofProject);
    expect(spareShare).toEqual({ value: 0.05, from: 'default' });
    // One spare of a thin flat (common practice, no source): 20 mm is thin, 30 mm is not.
    expect(rings.map(({ ring, spareAtLeast }) => [ring, spareAtLeast.value])).toEqual([
      ['F20', 1],
      ['F30', 0],
      ['F50', 0],
    ]);
    expect(rings[0]).toMatchObject({
      pack: { value: 1, from: 'default' },
      onHand: { value: null, from: 'default' },
    });
  });

  it('are an agency\u2019s, and a project\u2019s in their place; null takes its word back', async () => {
    await change(ofAgency, { spareShare: 0.1, rings: [{ ring: 'F50', pack: 6, onHand: 40 }] });
    await change(ofProject, { rings: [{ ring: 'F50', onHand: 0, spareShare: 0 }] });
    const of = async (url: string) => (await get<RingSupplies>(url)).rings.find(({ ring }) => ring === 'F50');
    expect(await of(ofProject)).toEqual({
      ring: 'F50',
      pack: { value: 6, from: 'agency' },
      spareShare: { value: 0, from: 'project' },
      spareAtLeast: { value: 0, from: 'default' },
      onHand: { value: 0, from: 'project' },
    });
    expect(await of(ofAgency)).toMatchObject({ spareShare: { value: 0.1, from: 'agency' } });
    const answer = await change(ofProject, { rings: [{ ring: 'F50', onHand: null, spareShare: null }] });
    expect(answer.json<RingSupplies>().rings[2]).toMatchObject({
      spareShare: { value: 0.1, from: 'agency' },
      onHand: { value: 40, from: 'agency' },
    });
    await change(ofProject, { spareShare: 0.2 });
    expect((await of(ofProject))!.spareShare).toEqual({ value: 0.2, from: 'project' });
  });

  it('make the order, worked by hand', async () => {
    const { needed } = rows(await takeoff()).F30;
    await change(ofProject, { rings: [{ ring: 'F30', pack: 4, spareAtLeast: 4, onHand: 3 }] });
    // Eight covers of three; C-002 is off grade, the field chose none for C-001 and one each for C-006 and C-007.
    expect(needed).toBe(26);
    // 26 and 4 less 3 are 27: seven packs of four; of 31 then 5 are left over.
    expect(rows(await takeoff()).F30).toMatchObject({
      spare: 4,
      onHand: 3,
      short: 23,
      pack: 4,
      packs: 7,
      toOrder: 28,
      leftOver: 5,
    });
  });

  it('are changed from the version that was read alone', async () => {
    const first = String((await test.inject(ofProject)).headers.etag);
    const payload = { rings: [{ ring: 'F20', onHand: 5 }] };
    const blind = await test.inject({ method: 'PATCH', url: ofProject, payload });
    expect(blind.statusCode).toBe(428);
    const answers = await Promise.all([1, 2, 3].map(() => change(ofProject, payload, first)));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([200, 412, 412]);
    expect((await change(ofProject, payload, first)).statusCode).toBe(412);
    // The agency's have a version of their own.
    expect((await change(ofAgency, payload)).statusCode).toBe(200);
  });

  it.each([
    [{ rings: [{ ring: 'F20', pack: 0 }] }, '/rings/0/pack'],
    [{ rings: [{ ring: 'F20', pack: 2.5 }] }, '/rings/0/pack'],
    [{ rings: [{ ring: 'F20', onHand: -1 }] }, '/rings/0/onHand'],
    [{ rings: [{ ring: 'F20', onHand: '5' }] }, '/rings/0/onHand'],
    [{ rings: [{ ring: 'F20', spareShare: 5 }] }, '/rings/0/spareShare'],
    [{ spareShare: -0.1 }, '/spareShare'],
    [{ rings: [{ ring: 'F99', pack: 1 }] }, '/rings/0/ring'],
    [
      {
        rings: [
          { ring: 'F20', pack: 1 },
          { ring: 'F20', pack: 2 },
        ],
      },
      '/rings/1/ring',
    ],
  ])('refuse %j and store nothing of it', async (payload, path) => {
    const before = (await test.inject(ofProject)).headers.etag;
    const answer = await change(ofProject, payload);
    expect(answer.statusCode).toBe(400);
    expect(answer.json().errors.map((error: { path: string }) => error.path)).toContain(path);
    expect((await test.inject(ofProject)).headers.etag).toBe(before);
  });

  it('are of a catalogue that is there, and leave the plan as it is', async () => {
    expect((await test.inject(`${agencyPath}/ring-catalogues/none/supplies`)).statusCode).toBe(404);
    expect((await test.inject('/api/agencies/elsewhere/ring-catalogues/rings/supplies')).statusCode).toBe(
      404,
    );
    await change(ofProject, { rings: [{ ring: 'F20', onHand: 5 }] });
    expect((await takeoff()).planStale).toBe(false);
  });
});

describe('the takeoff as CSV', () => {
  const csv = async (query: string) => {
    const answer = await test.inject(`${projectPath}/takeoff.csv?${query}`);
    expect(answer.statusCode, answer.body).toBe(200);
    return answer;
  };
  const lines = ({ body }: { body: string }) => body.replace('\uFEFF', '').trimEnd().split('\r\n');

  it('has a row a ring, with sizes in the unit that the heading names', async () => {
    const answer = await csv('');
    expect(answer.headers).toMatchObject({
      'content-type': 'text/csv; charset=utf-8',
      'content-disposition': 'attachment; filename="takeoff by ring.csv"',
    });
    expect(answer.body.startsWith('\uFEFFring,kind,thin_mm,')).toBe(true);
    const [heads, ...rings] = lines(answer).map((line) => line.split(','));
    expect(rings.slice(0, 3).map((fields) => fields.slice(0, 5))).toEqual([
      ['F20', 'flat', '20', '20', '850'],
      ['F30', 'flat', '30', '30', '850'],
      ['F50', 'flat', '50', '50', '850'],
    ]);
    for (const fields of rings) expect(fields).toHaveLength(heads.length);
    const needed = (await takeoff()).rings.map(({ needed: count }) => String(count));
    expect(rings.slice(0, 3).map((fields) => fields[heads.indexOf('needed')])).toEqual(needed);
  });

  it('runs no formula and keeps commas apart', async () => {
    const { kysely } = test.database;
    expect(lines(await csv('')).at(-1)).toMatch(/^'=F99,not in the catalogue,,,,1,/);
    const name = async (street: string) => {
      await sql`update structures set street = ${street} where structure_id = ${id(9)}`.execute(kysely);
      await sql`update projects set field_seq = field_seq + 1`.execute(kysely);
    };
    await name('=HYPERLINK("x"), Quay');
    expect(lines(await csv('by=street'))[0]).toBe(
      "street,covers,to_build,no_rings,built_already,left_out,rings_needed,F20,F30,F50,'=F99",
    );
    expect(lines(await csv('by=street'))[1]).toMatch(/^"'=HYPERLINK\(""x""\), Quay",1,/);
    await name('Quay Lane');
  });

  it('names every cover that is left out, with what to do about it', async () => {
    const { leftOut } = await takeoff();
    const [heads, ...covers] = lines(await csv('by=leftOut'));
    expect(heads).toBe('id,street,night,crew,reason,what_to_do');
    expect(covers).toHaveLength(leftOut);
    expect(covers.join('\n')).toContain(`${id(2)},Quay Lane,,,off grade,`);
  });
});

describe('the order list as PDF', () => {
  it('is of the covers that were asked for', async () => {
    const answer = await test.inject(`${projectPath}/takeoff.pdf?street=Quay%20Lane&paper=a4`);
    expect([answer.statusCode, answer.headers['content-type']]).toEqual([200, 'application/pdf']);
    expect(answer.rawPayload.subarray(0, 5).toString()).toBe('%PDF-');
    expect(answer.headers['content-disposition']).toBe('inline; filename="Order list Quay Lane overlay.pdf"');
    if (hasPoppler) {
      const text = textOf(answer.rawPayload);
      expect(text).toContain('Only of street Quay Lane.');
      expect(text).toContain('F30, 850 mm across');
    }
    expect((await test.inject(`${projectPath}/takeoff.pdf?by=street`)).statusCode).toBe(400);
    expect((await test.inject(`${projectPath}/takeoff.pdf?night=2027-02-30`)).statusCode).toBe(400);
  });
});

/** Streets, nights and statuses by chance: whatever they are, the parts add up to the whole. */
describe('sums over streets and nights', () => {
  const cover = fc.record({
    street: fc.constantFrom('Quay Lane', 'Mill Row', 'Ash, "Old" Way', null),
    night: fc.constantFrom('2027-03-01', '2027-03-02', null),
    crew: fc.constantFrom('North', 'South', null),
    status: fc.constantFrom('raise', 'raise', 'raise', 'lower', 'leave', 'review', 'rebuild', null),
    fieldStatus: fc.constantFrom(null, null, 'planned', 'plated', 'stacked', 'set', 'offGrade', 'accepted'),
    rings: fc.array(fc.constantFrom('F20', 'F30', 'F50', 'gone'), { maxLength: 5 }),
  });
  const covers = fc.array(cover, { minLength: 12, maxLength: 12 });

  it('are the total, and the total is a recount of the plans', { timeout: 120_000 }, async () => {
    const { kysely } = test.database;
    await sql`update project_covers set field_seq = null`.execute(kysely);
    await fc.assert(
      fc.asyncProperty(covers, async (given) => {
        for (const [at, one] of given.entries()) {
          const stack = JSON.stringify(one.rings.map((ring) => ({ ring, azimuth: null })));
          await sql`update structures set street = ${one.street} where structure_id = ${id(at + 1)}`.execute(
            kysely,
          );
          await sql`
            update project_covers set worst_m = 0, night = ${one.night}::date, crew = ${one.crew}, status = ${one.status},
              plan_revision = case when ${one.status}::text is not null then (
                select max(revision) from plan_covers as plan where plan.structure_id = ${id(at + 1)}) end,
              field_status = ${one.fieldStatus} where structure_id = ${id(at + 1)}`.execute(kysely);
          await sql`
            update plan_covers set outcome = (outcome::jsonb || jsonb_build_object('stack', ${stack}::text::jsonb,
              'status', ${one.status ?? 'raise'}::text, 'residual', '{"worst":0,"centre":0,"tilt":0}'::jsonb))::json
            where structure_id = ${id(at + 1)}`.execute(kysely);
        }
        // What is written past the server is not seen by it.
        await sql`update projects set field_seq = field_seq + 1`.execute(kysely);
        const total = await takeoff();
        expect(neededIn(total)).toEqual(await recount());
        expect(total.toBuild + total.ringless + total.built + total.leftOut).toBe(12);
        expect(total.reasons.reduce((sum, { covers: count }) => sum + count, 0)).toBe(total.leftOut);
        for (const by of ['street', 'night', 'crew'] as const) {
          const { groups, totals } = await takeoff(`by=${by}`);
          expect(new Set(groups.map(({ name }) => name))).toEqual(new Set(given.map((one) => one[by])));
          const added: Record<string, number> = {};
          for (const { rings } of groups)
            for (const [ring, count] of Object.entries(rings)) added[ring] = (added[ring] ?? 0) + count;
          expect(added).toEqual(neededIn(total));
          for (const field of ['covers', 'toBuild', 'ringless', 'built', 'leftOut'] as const)
            expect(groups.reduce((sum, group) => sum + group[field], 0)).toBe(total[field]);
          expect(groups.reduce((sum, { needed }) => sum + needed, 0)).toBe(totals.needed);
          for (const { name, needed } of groups) {
            if (by === 'street' && name === null) continue;
            const alone = await takeoff(`${new URLSearchParams({ [by]: name ?? '' })}`);
            expect(alone.totals.needed).toBe(needed);
          }
        }
      }),
      { numRuns: 12 },
    );
  });
});

describe('a ring whose id has brackets in it', () => {
  it('is counted as every other', async () => {
    const { kysely } = test.database;
    const ring = 'F[2]0 "thin"';
    await sql`
      insert into rings (agency_id, ring_catalogue_id, position, ring_id, thin_m, thick_m, outer_diameter_m, max_per_stack)
      values ('mossvale', 'rings', 3, ${ring}, 0.02, 0.02, 0.85, 3)`.execute(kysely);
    const stack = JSON.stringify([ring, ring, 'F30'].map((each) => ({ ring: each, azimuth: null })));
    await sql`
      update plan_covers set outcome = (outcome::jsonb || jsonb_build_object('stack', ${stack}::text::jsonb))::json
      where structure_id = ${id(1)}`.execute(kysely);
    await sql`
      update project_covers set status = 'raise', field_status = null, worst_m = 0, plan_revision = (
        select max(revision) from plan_covers as plan where plan.structure_id = ${id(1)})
      where structure_id = ${id(1)}`.execute(kysely);
    await sql`update projects set field_seq = field_seq + 1`.execute(kysely);
    expect(neededIn(await takeoff(`q=${id(1)}`))).toEqual({ [ring]: 2, F30: 1 });
  });
});
