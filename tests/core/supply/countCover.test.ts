import { describe, expect, it } from 'vitest';
import type { AnyKept } from '#core/field/facts.ts';
import { countCover, leftOutReasons, type TakeoffCover } from '#core/supply/countCover.ts';
import { fieldStackOf } from '#core/supply/fieldStack.ts';
import { Tally } from '#core/supply/tally.ts';
import { leftOutWords } from '#core/supply/words.ts';

const nothing = { rings: null, contradicts: false };
const cover = (change: Partial<TakeoffCover>): TakeoffCover => ({
  telescoping: false,
  status: 'raise',
  fieldStatus: null,
  isStale: false,
  planned: ['F50', 'T'],
  field: nothing,
  ...change,
});
const counted = (change: Partial<TakeoffCover>) => countCover(cover(change));
const chosen = { rings: ['F20'], contradicts: false };

describe('a cover in a takeoff', () => {
  it('takes the rings of its plan, until they stand', () => {
    expect(counted({})).toMatchObject({ as: 'toBuild', needed: ['F50', 'T'], standing: [] });
    for (const fieldStatus of ['planned', 'plated'] as const)
      expect(counted({ fieldStatus })).toMatchObject({ as: 'toBuild', needed: ['F50', 'T'] });
    for (const fieldStatus of ['stacked', 'set', 'accepted'] as const)
      expect(counted({ fieldStatus })).toMatchObject({ as: 'built', needed: [], standing: ['F50', 'T'] });
  });

  it('takes what the crew chose in place of the plan, whatever the plan said', () => {
    expect(counted({ field: chosen })).toMatchObject({ as: 'toBuild', needed: ['F20'] });
    expect(counted({ field: chosen, fieldStatus: 'set' })).toMatchObject({ standing: ['F20'] });
    for (const status of ['review', 'unsurveyed', 'remeasure', null] as const)
      expect(counted({ field: chosen, status, planned: null })).toMatchObject({
        as: 'toBuild',
        needed: ['F20'],
      });
  });

  it('takes no rings where it stays, telescopes or has its frame on the seat', () => {
    expect(counted({ status: 'leave', planned: [] }).as).toBe('ringless');
    expect(counted({ telescoping: true, planned: [] }).as).toBe('ringless');
    expect(counted({ status: 'lower', planned: [] }).as).toBe('ringless');
    expect(counted({ telescoping: true, status: 'review' })).toMatchObject({ as: 'leftOut', why: 'review' });
  });

  it('is left out with its reason where nobody knows its rings', () => {
    for (const status of ['unsurveyed', 'remeasure', 'review', 'rebuild'] as const)
      expect(counted({ status })).toMatchObject({ as: 'leftOut', why: status, needed: [] });
    expect(counted({ status: null })).toMatchObject({ why: 'unplanned' });
    expect(counted({ planned: null })).toMatchObject({ why: 'review' });
    expect(counted({ fieldStatus: 'offGrade' })).toMatchObject({ why: 'offGrade', standing: ['F50', 'T'] });
    expect(counted({ fieldStatus: 'set', isStale: true })).toMatchObject({ why: 'stale' });
    expect(counted({ fieldStatus: 'accepted', isStale: true })).toMatchObject({ as: 'built' });
    expect(counted({ field: { rings: ['F20'], contradicts: true } })).toMatchObject({ why: 'contradicted' });
  });

  it('has words for every reason', () => {
    expect(Object.keys(leftOutWords).sort()).toEqual([...leftOutReasons].sort());
  });

  it('is summed up once', () => {
    const tally = new Tally();
    for (const change of [{}, { field: chosen }, { status: 'leave' }, { status: 'review' }] as const)
      tally.add(counted(change));
    tally.add(counted({ fieldStatus: 'offGrade' }));
    expect(tally).toMatchObject({ covers: 5, toBuild: 2, ringless: 1, built: 0, leftOut: 2 });
    expect(Object.fromEntries(tally.needed)).toEqual({ F50: 1, T: 1, F20: 1 });
    expect(Object.fromEntries(tally.standing)).toEqual({ F50: 1, T: 1 });
    expect(Object.fromEntries(tally.why)).toEqual({ review: 1, offGrade: 1 });
  });
});

const one = '00000000-0000-4000-8000-000000000001';
const other = '00000000-0000-4000-8000-000000000002';
const record = (seq: number, kind: AnyKept['kind'], facts: object, rest: Partial<AnyKept> = {}): AnyKept =>
  ({
    id: `00000000-0000-4000-9000-${String(seq).padStart(12, '0')}`,
    structureId: 'C-1',
    kind,
    facts,
    by: 'Ida Brook',
    device: one,
    deviceTime: '2026-11-25T20:00:00Z',
    receivedAt: '2026-11-25T20:00:01Z',
    seen: seq - 1,
    seq,
    ...rest,
  }) as unknown as AnyKept;
const stack = (...rings: string[]) => ({ stack: rings.map((ring) => ({ ring, azimuthDeg: null })) });

describe('the rings that the records of a cover name', () => {
  it('are the last ones chosen or used', () => {
    expect(fieldStackOf([])).toEqual(nothing);
    const choice = record(1, 'stackChosen', stack('F20', 'T'));
    const used = record(2, 'ringsUsed', stack('F30'));
    expect(fieldStackOf([choice]).rings).toEqual(['F20', 'T']);
    expect(fieldStackOf([used, choice]).rings).toEqual(['F30']);
    expect(fieldStackOf([choice, used, record(3, 'stackChosen', stack('F50'))]).rings).toEqual(['F50']);
  });

  it('are not those of a record that was taken back', () => {
    const choice = record(1, 'stackChosen', stack('F20'));
    expect(fieldStackOf([choice, record(2, 'withdrawn', { record: choice.id })]).rings).toBeNull();
  });

  it('contradict each other until somebody settles it', () => {
    const first = record(1, 'stackChosen', stack('F20'));
    const blind = record(2, 'stackChosen', stack('F30'), { device: other, seen: 0 });
    expect(fieldStackOf([first, blind]).contradicts).toBe(true);
    const settled = record(3, 'settled', { keep: first.id, over: [blind.id] });
    expect(fieldStackOf([first, blind, settled])).toEqual({ rings: ['F20'], contradicts: false });
  });
});
