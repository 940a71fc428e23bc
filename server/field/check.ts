import { Compile } from 'typebox/compile';
import { readingsFault } from '#core/acceptance/straightedge.ts';
import { type AnyMade, type RecordKind, recordKinds } from '#core/field/facts.ts';
import { factSchemas } from '#shared/field-record.ts';

const checks = Object.fromEntries(recordKinds.map((kind) => [kind, Compile(factSchemas[kind])])) as Record<
  RecordKind,
  ReturnType<typeof Compile>
>;

/** Why a record cannot be kept, in words that name the field; null for one that can. */
export function findFault(record: AnyMade): string | null {
  const check = checks[record.kind];
  if (!check.Check(record.facts)) {
    const [first] = check.Errors(record.facts);
    const place = first?.instancePath ? `facts${first.instancePath}` : 'facts';
    return `${record.kind}: ${place} ${first?.message ?? 'does not fit'}`;
  }
  if (record.kind === 'straightedge') {
    const fault = edgeFault(record);
    if (fault) return fault;
  }
  if (!isText(record)) return `${record.kind}: holds characters that are no text`;
  if (!Number.isSafeInteger(record.seen)) return 'seen is no number that a record can have';
  const year = new Date(record.deviceTime).getUTCFullYear();
  if (!(year >= 1)) return `deviceTime ${record.deviceTime} is no moment of the calendar`;
  return null;
}

function edgeFault({ facts }: Extract<AnyMade, { kind: 'straightedge' }>): string | null {
  for (const way of ['along', 'across'] as const) {
    const readings = facts[way]?.readings;
    const fault = readings ? readingsFault(readings, facts.lengthM) : null;
    if (fault) return `straightedge: facts/${way}/readings ${fault}`;
  }
  return null;
}

/** What PostgreSQL takes as text: no zero bytes, and no halves of characters. */
function isText(value: unknown): boolean {
  if (typeof value === 'string') return value.isWellFormed() && !value.includes('\0');
  if (typeof value !== 'object' || value === null) return true;
  return Object.entries(value).every(([name, field]) => isText(name) && isText(field));
}

/** A device whose clock is farther ahead than this is told so. */
const clockAllowanceMs = 10 * 60_000;

/** What is to be said of a device's clock that is ahead of the server's; null where it is not. */
export function clockWarning(deviceTime: string, receivedAt: Date): string | null {
  const ahead = new Date(deviceTime).getTime() - receivedAt.getTime();
  if (ahead <= clockAllowanceMs) return null;
  const minutes = Math.round(ahead / 60_000);
  const words =
    minutes < 120
      ? `${minutes} min`
      : minutes < 2880
        ? `${Math.round(minutes / 60)} h`
        : `${Math.round(minutes / 1440)} days`;
  return `Kept. The clock of this device is ${words} ahead of the server's.`;
}
