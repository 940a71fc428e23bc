import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { drivingOrder, lengthOfWay } from '#core/route/drivingOrder.ts';
import type { CrewNight } from '#shared/crew-night.ts';
import { makeTown } from '../../../server/demo/town.ts';
import { createTestApp, projectPath, registerCsv, type TestApp } from '../../helpers/app.ts';
import { hasPoppler, textOf } from '../../helpers/pdf.ts';
import { storeFile } from '../../helpers/staged-import.ts';

vi.setConfig({ testTimeout: 60_000, hookTimeout: 60_000 });

/** Covers along one line: those with odd numbers belong to the street whose name comes last. */
const crossing = (line: string, index: number) =>
  index % 2 === 0 ? line.replace('Quay Lane', 'Wharf Row') : line.replace('Quay Lane', 'Anchor Row');

const along = Array.from({ length: 6 }, (_, index) => `C-00${index + 1}`);

describe('a night that two streets have covers in', () => {
  let test: TestApp;
  beforeAll(async () => {
    test = await createTestApp();
    await storeFile(test, 'register.csv', registerCsv(6, crossing));
    const answer = await test.inject({
      method: 'POST',
      url: `${projectPath}/covers/assign`,
      payload: { selection: { ids: along }, crew: 'A', night: '2026-11-26' },
    });
    expect(answer.statusCode, answer.body).toBe(200);
  });
  afterAll(() => test.close());

  it('comes to the phone as it is driven, not street by street', async () => {
    const night = (await test.inject(`${projectPath}/crew-night?night=2026-11-26&crew=A`)).json<CrewNight>();
    expect(night.cards.map(({ structure }) => structure.id)).toEqual(along);
    expect(new Set(night.cards.map(({ structure }) => structure.street)).size).toBe(2);
  });

  it.skipIf(!hasPoppler)('is printed in the same order, on the list and on each sheet', async () => {
    const night = `${projectPath}/nights/2026-11-26`;
    const list = textOf((await test.inject(`${night}/list.pdf?crew=A`)).rawPayload);
    const places = along.map((id) => list.indexOf(id));
    expect(places).not.toContain(-1);
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(list).toContain('In driving order by straight distance');
    const sheet = textOf((await test.inject(`${projectPath}/covers/C-004/sheet.pdf`)).rawPayload);
    expect(sheet).toContain('Stop 4 of 6');
  });
});

describe('the demo town', () => {
  const town = makeTown(1);
  const rows = new Map(town.structures.map((row) => [row.id, row]));
  const places = town.projectCovers.map(({ id, street, stationM }) => {
    const { east, north } = rows.get(id) as { east: number; north: number };
    return { id, street, stationM, east, north };
  });

  it.each([8, 12, 40])('is never driven farther than street by street, %i covers a night', (size) => {
    const byStreet = [...places].sort((a, b) =>
      a.street === b.street ? a.stationM - b.stationM : a.street < b.street ? -1 : 1,
    );
    // Nights that lie scattered over both streets, and nights of neighbours.
    const scattered = Math.floor(byStreet.length / size);
    for (let at = 0; at < Math.min(20, scattered); at++) {
      for (const night of [
        byStreet.slice(at * size, (at + 1) * size),
        byStreet.filter((_, index) => index % scattered === at).slice(0, size),
      ]) {
        const driven = drivingOrder(night).map((id) => night.find((place) => place.id === id)!);
        expect(driven.length).toBe(night.length);
        expect(lengthOfWay(driven)).toBeLessThanOrEqual(lengthOfWay(night) + 1e-6);
      }
    }
  });
});
