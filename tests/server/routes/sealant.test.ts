import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sayAmounts, sealAmounts } from '#core/seal/kit.ts';
import { countSeals } from '#core/seal/sealPlan.ts';
import type { CrewNight } from '#shared/crew-night.ts';
import type { PolicyChoice } from '#shared/policy.ts';
import type { Project } from '#shared/project.ts';
import { sealSizes } from '#shared/sealant-limits.ts';
import { acceptedBy } from '../../../web/field/hole/limits.ts';
import { ordersOf } from '../../../web/field/hole/stack/beads.ts';
import { stackInForce } from '../../../web/field/hole/stack/in-force.ts';
import type { Hole } from '../../../web/field/hole/types.ts';
import {
  agencyPath,
  createTestApp,
  projectPath,
  registerCsv,
  shotsCsv,
  type TestApp,
} from '../../helpers/app.ts';
import { made, send } from '../../helpers/field.ts';
import { hasPoppler, textOf } from '../../helpers/pdf.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(3));
  await storeFile(test, 'shots.csv', shotsCsv(3));
  await test.inject({
    method: 'POST',
    url: `${projectPath}/covers/assign`,
    payload: { selection: { ids: ['C-001', 'C-002', 'C-003'] }, crew: 'North', night: '2026-11-26' },
  });
  await test.plan();
});
afterAll(() => test.close());

const project = async () => (await test.inject(projectPath)).json<Project>();
async function change(path: string, policy: PolicyChoice) {
  const { headers } = await test.inject(path);
  const ifMatch = { 'if-match': headers.etag as string };
  return test.inject({ method: 'PATCH', url: path, headers: ifMatch, payload: { policy } });
}
const read = async (path: string) =>
  textOf((await test.inject(`${projectPath}/${path}`)).rawPayload).replace(/\s+/g, ' ');
const night = async () =>
  (await test.inject(`${projectPath}/crew-night?night=2026-11-26&crew=North`)).json<CrewNight>();

/** As the phone's page of a cover reckons it. */
async function onPhone(id: string): Promise<string> {
  const { cards, records } = await night();
  const card = cards.find(({ structure }) => structure.id === id)!;
  const here = records.filter(({ structureId }) => structureId === id);
  const hole = { card, records: here, accepted: acceptedBy(card) } as unknown as Hole;
  const orders = ordersOf(hole, stackInForce(card, here)!);
  return sayAmounts(sealAmounts(countSeals([orders]), sealSizes(card.limits))).join('; ');
}

describe('sizes of sealants', () => {
  it('have defaults where makers agree, and none where they do not', async () => {
    const { limits } = await project();
    expect(limits.sealBeadM).toEqual({ value: 0.012, from: 'default' });
    expect(limits.sealCartridgeMl).toEqual({ value: 310, from: 'default' });
    expect(limits.sealWasteShare).toEqual({ value: 0.05, from: 'default' });
    expect(limits.sealMostSplices).toEqual({ value: 0, from: 'default' });
    for (const name of ['sealCircleM', 'sealRollM', 'sealThickRollM'] as const)
      expect(limits[name]).toEqual({ value: null, from: 'default' });
    expect(await onPhone('C-001')).toMatch(/beads; cartridges and rolls not reckoned, the circle/);
  });

  it('are the agency’s or the project’s, leave plans in force, and are refused past reason', async () => {
    expect((await change(agencyPath, { sealCircleM: 0.72, sealWasteShare: 0.1 })).statusCode).toBe(200);
    expect((await change(projectPath, { sealWasteShare: 0.05, sealMostSplices: 'any' })).statusCode).toBe(
      200,
    );
    const { limits, planStale } = await project();
    expect(planStale).toBe(false);
    expect(limits.sealCircleM).toEqual({ value: 0.72, from: 'agency' });
    expect(limits.sealWasteShare).toEqual({ value: 0.05, from: 'project' });
    expect(limits.sealMostSplices).toEqual({ value: 'any', from: 'project' });
    for (const wrong of [
      { sealCircleM: 0 },
      { sealWasteShare: 2 },
      { sealMostSplices: 1.5 },
      { sealRollM: -1 },
    ])
      expect((await change(projectPath, wrong as PolicyChoice)).statusCode).toBe(400);
  });

  it('count the cartridges of a stack on the phone, one bead more where its seat was seen rough', async () => {
    // 3 rings, 4 beads of pi x 0.72 m + 5 %, 12 mm thick: 1.07 L; with a fifth 1.34 L. Cartridges of 310 ml.
    expect(await onPhone('C-001')).toBe('4 beads: 4 cartridges');
    expect(await send(test, made('C-001', 'seatSeen', { surface: 'rough' }))).toMatchObject([
      { outcome: 'stored' },
    ]);
    expect(await onPhone('C-001')).toBe('5 beads: 5 cartridges');
  });

  it.skipIf(!hasPoppler)('count the same on sheet and night’s list, read with poppler', async () => {
    const sheet = await read('covers/C-001/sheet.pdf');
    expect(sheet).toContain('two beads under, 2.5 mm');
    expect(sheet).toContain('Kit: 5 beads: 5 cartridges');
    // 13 beads of the night, 3.49 L, as one job.
    expect(await read('nights/2026-11-26/list.pdf')).toContain('13 beads: 12 cartridges');
  });

  it('go by the bed that was laid on a rough seat since', async () => {
    await send(test, made('C-001', 'mortarBed', { thicknessM: 0.01, why: 'chipped', cureHours: 2 }));
    expect(await onPhone('C-001')).toBe('4 beads: 4 cartridges');
  });
});
