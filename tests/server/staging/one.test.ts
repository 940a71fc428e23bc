import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { createTestApp, registerCsv, type TestApp } from '../../helpers/app.ts';
import { asProject, uploadWhole } from '../../helpers/staged-import.ts';

vi.setConfig({ testTimeout: 30_000, hookTimeout: 30_000 });

let test: TestApp;
beforeAll(async () => {
  test = await createTestApp();
});
afterAll(() => test.close());

describe('an import of one', () => {
  it('row and one question says both in the singular, and its undo too', async () => {
    const client = await uploadWhole(test, [{ name: 'one.csv', content: registerCsv(1) }]);
    const { verticalUnit: _, ...others } = asProject;
    await client.answer({ questions: { ...others, whereItLies: 'right' } });
    const { said, preview } = await client.now();
    expect(preview!.questions.filter(({ isOpen }) => isOpen).map(({ id }) => id)).toEqual(['verticalUnit']);
    expect(said).toMatch(/; 1 question to answer$/);
    const { status, body } = await client.act('commit');
    expect([status, body.detail]).toEqual([
      ...[409, '1 question is open; nothing is stored before it is answered.'],
    ]);
    await client.store({ ...asProject, whereItLies: 'right' });
    expect((await client.undo()).statusCode).toBe(200);
    expect((await client.now()).said).toBe('Undone: 1 row removed, 0 restored');
  });
});
