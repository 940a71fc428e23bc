import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sayReason } from '#core/decision/words.ts';
import type { CoverCard, CoverRow } from '#shared/cover.ts';
import type { CrewNight } from '#shared/crew-night.ts';
import type { CoverPlan } from '#shared/plan.ts';
import type { PolicyChoice } from '#shared/policy.ts';
import type { Project } from '#shared/project.ts';
import { stackInForce } from '../../../web/field/hole/stack/in-force.ts';
import { isRopeMissing } from '../../../web/field/hole/stack/rope.ts';
import { chimneyOf, rimErrorOf } from '../../../web/figures.ts';
import {
  agencyPath,
  catalogue,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { made, send } from '../../helpers/field.ts';
import { hasPoppler, textOf } from '../../helpers/pdf.ts';
import { storeFile } from '../../helpers/staged-import.ts';

/** Pressed to 8 mm where the usual joint is 3 mm. */
const ropeM = 0.008;
const usualM = 0.003;
/** Flat rings of every whole centimetre, so that a rope of the test's size is made up for exactly. */
const fine = {
  ...catalogue,
  id: 'fine',
  joint: { baseM: usualM, betweenM: usualM, topM: usualM },
  rings: Array.from({ length: 9 }, (_, index) => ({
    ...catalogue.rings[0],
    id: `F${(index + 1) * 10}`,
    thinM: (index + 1) / 100,
    thickM: (index + 1) / 100,
  })),
};

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(3));
  await storeFile(test, 'shots.csv', shotsCsv(3));
  const posted = await test.inject({ method: 'POST', url: `${agencyPath}/ring-catalogues`, payload: fine });
  if (posted.statusCode !== 201) throw new Error(posted.body);
  await change({ ringCatalogueId: 'fine', policy: { objective: 'closest' } });
  await test.inject({
    method: 'POST',
    url: `${projectPath}/covers/assign`,
    payload: { selection: { ids: ['C-001', 'C-002', 'C-003'] }, crew: 'North', night: '2026-11-26' },
  });
  await test.plan();
});
afterAll(() => test.close());

const project = async () => (await test.inject(projectPath)).json<Project>();
async function change(payload: { policy?: PolicyChoice; ringCatalogueId?: string }): Promise<void> {
  const { version } = await project();
  const headers = { 'if-match': `"${version}"` };
  const answer = await test.inject({ method: 'PATCH', url: projectPath, headers, payload });
  if (answer.statusCode !== 200) throw new Error(answer.body);
}
const card = async (id: string) => (await test.inject(`${projectPath}/covers/${id}`)).json<CoverCard>();
const row = async (id: string) =>
  (await test.inject(`${projectPath}/covers`))
    .json<{ items: CoverRow[] }>()
    .items.find((each) => each.id === id)!;
const onPhone = async (id: string) =>
  (await test.inject(`${projectPath}/crew-night?night=2026-11-26&crew=North`))
    .json<CrewNight>()
    .cards.find(({ structure }) => structure.id === id)!;
const sheet = async (id: string) =>
  textOf((await test.inject(`${projectPath}/covers/${id}/sheet.pdf`)).rawPayload).replace(/\s+/g, ' ');

const ringsHeight = ({ stack }: Pick<CoverPlan, 'stack'>) =>
  stack.reduce((sum, { ring }) => sum + Number(ring.slice(1)) / 1000, 0);
const inputsHash = async (id: string) =>
  (
    await test.database.kysely
      .selectFrom('project_covers')
      .select('inputs_hash')
      .where('structure_id', '=', id)
      .executeTakeFirstOrThrow()
  ).inputs_hash;

/** That thick rope lies at bottom and top for a vacuum test: common practice, no source. */
describe('a vacuum test that is asked for with a thick rope', () => {
  let before: CoverPlan;
  let hashBefore: unknown;

  it('makes the plan stale, where a limit of acceptance alone does not', async () => {
    before = (await card('C-001')).plan!;
    hashBefore = await inputsHash('C-001');
    expect(before.thickRopeM).toBeUndefined();
    await change({ policy: { acceptProudM: 0.004 } });
    expect((await project()).planStale).toBe(false);
    // A test without a thick rope, and a rope without a test, change no joint.
    await change({ policy: { vacuumTest: 'all' } });
    await change({ policy: { vacuumTest: null, thickRopeM: ropeM } });
    expect((await project()).planStale).toBe(false);
    await change({ policy: { vacuumTest: 'all' } });
    expect((await project()).planStale).toBe(true);
  });

  it('is warned of on the phone as long as the plan in force does not count the rope', async () => {
    const night = await onPhone('C-001');
    expect(isRopeMissing(night, stackInForce(night, [])!)).toBe(true);
  });

  it.skipIf(!hasPoppler)('is warned of on paper in its place, read with poppler', async () => {
    expect(await sheet('C-001')).toContain('Not to be built yet: a vacuum test is asked for');
  });

  it('has its rope in the next plan: rings lower by what two ropes are thicker than two usual joints', async () => {
    await send(test, made('C-003', 'dryStacked', { rimErrorsM: [0, 0, 0, 0], marked: true }));
    expect(await test.plan()).toMatchObject({ state: 'done', unchanged: false });
    const { plan } = await card('C-001');
    expect(plan).toMatchObject({ status: 'raise', allowance: 'met', thickRopeM: ropeM });
    expect(plan!.stack).toHaveLength(before.stack.length);
    expect(ringsHeight(before) - ringsHeight(plan!)).toBeCloseTo(2 * (ropeM - usualM), 9);
    expect(plan!.netBuildupM).toBe(before.netBuildupM);
    expect(plan!.residual!.centreM).toBeCloseTo(before.residual!.centreM, 9);
    expect(plan!.reasons.map((each) => sayReason(each, { small: 'millimetres', elevation: 'm' }))).toContain(
      'The joint on the seat and the one under the frame are counted with 8 mm of thick rope each, pressed, for the vacuum test.',
    );
    expect(await inputsHash('C-001')).not.toBe(hashBefore);
  });

  it('has the same rings and joints on card, table and phone', async () => {
    const desk = await card('C-001');
    const joint = { base: ropeM, between: usualM, top: ropeM };
    expect(chimneyOf(desk)!.joint).toEqual(joint);
    // The curve round the rim is composed anew and drawn only where it agrees with what the plan says.
    expect(rimErrorOf(desk)!.centre).toBeCloseTo(desk.plan!.residual!.centreM, 9);
    expect(await row('C-001')).toMatchObject({ stack: desk.plan!.stack, thickRopeM: ropeM });
    const night = await onPhone('C-001');
    const force = stackInForce(night, [])!;
    expect(force).toMatchObject({ stack: desk.plan!.stack, joint, chosen: null });
    expect(isRopeMissing(night, force)).toBe(false);
  });

  it.skipIf(!hasPoppler)('has them on paper, read with poppler', async () => {
    const { plan } = await card('C-001');
    const paper = await sheet('C-001');
    for (const [index, { ring }] of plan!.stack.entries())
      expect(paper).toContain(`${index + 1} Flat ${ring.slice(1)} mm`);
    expect(paper.match(/one thick rope under, 8 mm/g)).toHaveLength(2);
    expect(paper).toContain('Build from the bottom');
    expect(paper).not.toContain('Not to be built yet');
  });

  it('leaves a stack that stands in the field as it is, flagged, and warned of', async () => {
    const stands = await card('C-003');
    expect(stands).toMatchObject({ planStale: true, fieldStatus: 'stacked' });
    expect(stands.plan!.stack).toEqual(before.stack);
    expect(stands.plan!.thickRopeM).toBeUndefined();
    const night = await onPhone('C-003');
    expect(isRopeMissing(night, stackInForce(night, [])!)).toBe(true);
  });

  it('goes back to the rings without, when it is asked for no more', async () => {
    await change({ policy: { vacuumTest: null } });
    expect((await project()).planStale).toBe(true);
    await test.plan();
    const { plan } = await card('C-001');
    expect(plan!.thickRopeM).toBeUndefined();
    expect(plan!.stack).toEqual(before.stack);
    expect(plan!.reasons).toEqual(before.reasons);
    expect(await inputsHash('C-001')).toBe(hashBefore);
  });

  it('counts by the word of the agency too', async () => {
    const { headers } = await test.inject(agencyPath);
    const answer = await test.inject({
      method: 'PATCH',
      url: agencyPath,
      headers: { 'if-match': headers.etag as string },
      payload: { policy: { vacuumTest: 'all' } },
    });
    expect(answer.statusCode, answer.body).toBe(200);
    expect((await project()).planStale).toBe(true);
    await test.plan();
    expect((await card('C-002')).plan).toMatchObject({ thickRopeM: ropeM });
  });
});
