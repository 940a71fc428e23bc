import { randomUUID } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createTestApp, projectPath, registerCsv, type TestApp } from '../../helpers/app.ts';
import { made, note, phone, readAll, recordsPath, send } from '../../helpers/field.ts';
import { storeFile } from '../../helpers/staged-import.ts';

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
  await storeFile(test, 'register.csv', registerCsv(6));
});
afterAll(() => test.close());

const seqs = (items: { seq: number | null }[]) => items.map(({ seq }) => seq);

describe('records from the field', () => {
  it('are kept in the order of the device, and read back as they were sent', async () => {
    const sent = [
      note('C-001', 'lid frozen'),
      made('C-001', 'found', { outcome: 'found', ties: [{ to: 'curb', distanceM: 2.5 }], note: '' }),
      note('C-002', 'water in it'),
    ];
    const receipt = await send(test, ...sent);
    expect(receipt.map(({ id, outcome }) => [id, outcome])).toEqual(sent.map(({ id }) => [id, 'stored']));
    const kept = await readAll(test);
    expect(kept).toEqual(
      sent.map((record, index) => ({ ...record, seq: index + 1, receivedAt: receipt[index].receivedAt })),
    );
    expect((await readAll(test, 'since=1')).map(({ id }) => id)).toEqual([sent[1].id, sent[2].id]);
    expect((await readAll(test, 'structure=C-002')).map(({ id }) => id)).toEqual([sent[2].id]);
  });

  it('sent again are one record, with their first place and time; fields may come in another order', async () => {
    const record = made('C-003', 'found', { outcome: 'buried', ties: [], note: 'under asphalt' });
    const [first] = await send(test, record, record).then(([one, two]) => {
      expect(two).toMatchObject({ outcome: 'alreadyThere', seq: one.seq });
      return [one];
    });
    const turned = {
      ...record,
      facts: { note: 'under asphalt', ties: [], outcome: 'buried' },
      device: phone.toUpperCase(),
      deviceTime: record.deviceTime.replace('Z', '+00:00'),
    };
    expect(await send(test, turned)).toEqual([{ ...first, outcome: 'alreadyThere' }]);
    expect((await readAll(test)).filter(({ id }) => id === record.id)).toHaveLength(1);
  });

  it('of the same id with other content are refused and change nothing', async () => {
    const record = note('C-003', 'one');
    await send(test, record);
    const [answer] = await send(test, { ...record, facts: { text: 'two' } });
    expect(answer).toMatchObject({ outcome: 'refused', seq: null, receivedAt: null });
    expect(answer.message).toContain('another record');
    expect((await readAll(test)).find(({ id }) => id === record.id)!.facts).toEqual({ text: 'one' });
  });

  it('that do not fit are refused in words, and do not hold up the others', async () => {
    const before = (await readAll(test)).length;
    const answers = await send(
      test,
      note('C-001', 'before'),
      made('C-001', 'collarPlaced', { material: 'mud' } as never),
      note('C-777', 'nowhere'),
      note('C-001', 'a \u0000 in it'),
      note('C-001', 'half \ud83d of one'),
      note('C-001', 'seen', { seen: 1e300 }),
      note('C-001', 'after'),
    );
    expect(answers.map(({ outcome }) => outcome)).toEqual([
      ...['stored', 'refused', 'refused', 'refused', 'refused', 'refused', 'stored'],
    ]);
    expect(answers[1].message).toMatch(/^collarPlaced: facts/);
    expect(answers[2].message).toContain('no cover "C-777"');
    expect(answers[3].message).toContain('no text');
    expect(seqs([answers[0], answers[6]])).toEqual([before + 1, before + 2]);
  });

  it('of a clock that is ahead are kept, and the device is told', async () => {
    const [answer] = await send(test, note('C-001', 'early', { deviceTime: '2999-01-01T00:00:00.000Z' }));
    expect(answer.outcome).toBe('stored');
    expect(answer.message).toMatch(/clock of this device is \d+ days ahead/);
    expect((await readAll(test)).at(-1)!.deviceTime).toBe('2999-01-01T00:00:00.000Z');
  });

  it('of a cover that left the project meanwhile are kept', async () => {
    await test.database.sql`delete from project_covers where structure_id = 'C-006'`;
    expect(await send(test, note('C-006', 'done'))).toMatchObject([{ outcome: 'stored' }]);
  });

  it('can be neither changed nor removed, but go with their project', async () => {
    const { sql } = test.database;
    await expect(sql`update field_records set made_by = 'x'`).rejects.toThrow(/never changed/);
    await expect(sql`delete from field_records`).rejects.toThrow(/never changed/);
    expect((await readAll(test)).length).toBeGreaterThan(5);
    const left = await sql
      .begin(async (inside) => {
        await inside`delete from projects where project_id = 'quay-lane'`;
        const [{ count }] = await inside`select count(*)::integer as count from field_records`;
        throw Object.assign(new Error('taken back'), { count });
      })
      .catch((error) => error.count);
    expect(left).toBe(0);
  });

  it('sent by many at once get places without gaps, which a reader who follows `since` never misses', async () => {
    const start = (await readAll(test)).at(-1)!.seq;
    const read: number[] = [];
    let done = false;
    const reader = (async () => {
      for (let last = start; ; ) {
        const isLast = done;
        const page = (await test.inject(`${recordsPath}?since=${last}&limit=2000`)).json();
        for (const { seq } of page.items) read.push(seq);
        last = page.items.at(-1)?.seq ?? last;
        if (isLast) return;
      }
    })();
    const writers = Array.from({ length: 8 }, async () => {
      for (let turn = 0; turn < 10; turn++) await send(test, note('C-001', 'a'), note('C-002', 'b'));
    });
    await Promise.all(writers);
    done = true;
    await reader;
    expect(read).toEqual(Array.from({ length: 160 }, (_, index) => start + 1 + index));
  });

  it('are refused as a whole only where the batch itself is none', async () => {
    const post = (payload: object) => test.inject({ method: 'POST', url: recordsPath, payload });
    expect((await post({ records: [] })).statusCode).toBe(400);
    expect((await post({ records: [{ ...note('C-001', 'x'), kind: 'rumour' }] })).statusCode).toBe(400);
    expect((await post({ records: [{ ...note('C-001', 'x'), id: 'x' }] })).statusCode).toBe(400);
    const away = await test.inject({
      method: 'POST',
      url: `${projectPath}-x/field-records`,
      payload: { records: [note('C-001', randomUUID())] },
    });
    expect(away.statusCode).toBe(404);
    expect((await test.inject(`${recordsPath}?after=${btoa('[1.5]')}`)).statusCode).toBe(400);
  });
});
