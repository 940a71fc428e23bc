import { randomUUID } from 'node:crypto';
import type { AnyKept, AnyMade, Facts, RecordKind } from '#core/field/facts.ts';
import type { FieldRecordReceipt } from '#shared/field-record.ts';
import { projectPath, type TestApp } from './app.ts';

export const phone = '7b0d5a44-2d0c-4a53-9a3e-8f7f1f1f0a01';
export const recordsPath = `${projectPath}/field-records`;

/** A record as a phone makes it. */
export function made<Kind extends RecordKind>(
  structureId: string,
  kind: Kind,
  facts: Facts[Kind],
  rest: Partial<AnyMade> = {},
): AnyMade {
  return {
    id: randomUUID(),
    structureId,
    kind,
    facts,
    by: 'Ida Brook',
    device: phone,
    deviceTime: new Date().toISOString(),
    seen: 0,
    ...rest,
  } as AnyMade;
}

export const note = (structureId: string, text: string, rest?: Partial<AnyMade>) =>
  made(structureId, 'note', { text }, rest);

export async function send(test: TestApp, ...records: unknown[]): Promise<FieldRecordReceipt['items']> {
  const answer = await test.inject({ method: 'POST', url: recordsPath, payload: { records } });
  if (answer.statusCode !== 200) throw new Error(answer.body);
  return answer.json<FieldRecordReceipt>().items;
}

export async function readAll(test: TestApp, query = ''): Promise<AnyKept[]> {
  const items: AnyKept[] = [];
  let next: string | null = `${recordsPath}?limit=3&${query}`;
  while (next) {
    const page: { items: AnyKept[]; next: string | null } = (await test.inject(next)).json();
    items.push(...page.items);
    next = page.next;
  }
  return items;
}
