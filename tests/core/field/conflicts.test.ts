import { describe, expect, test } from 'vitest';
import { stateOfCover } from '#core/field/coverState.ts';
import type { AnyKept, RecordKind } from '#core/field/facts.ts';
import type { AnyRecord } from '#core/field/order.ts';
import { keep, keepPlain, make, one, plain, two, uuid } from './records.ts';

const given = { sent: true, limits: { proud: 0.006, low: 0.006 } };
const stateOf = (records: readonly AnyRecord[]) => stateOfCover(records, given);
const step = (kind: RecordKind) => make(kind, plain[kind]);

describe('conflicts', () => {
  const twoOf = (seen: number, other = plain.ringsUsed) =>
    [
      ...keep([step('ringsUsed')]),
      { ...keep([make('ringsUsed', other, { device: two })], 2)[0], seen },
    ] as AnyKept[];
  const different = { ...plain.ringsUsed, reason: 'one was broken' };

  test('two devices that did not know of each other contradict; one that knew, or says the same, does not', () => {
    expect(stateOf(twoOf(0, different)).conflicts).toMatchObject([
      { kind: 'ringsUsed', records: [{ seq: 1 }, { seq: 2 }] },
    ]);
    expect(stateOf(twoOf(1, different)).conflicts).toEqual([]);
    expect(stateOf(twoOf(0)).conflicts).toEqual([]);
  });

  test('it stays until it is settled, also when a third was made with both in view', () => {
    const third = keep([make('ringsUsed', { ...different, reason: 'three' })], 3);
    const records = [...twoOf(0, different), ...third];
    expect(stateOf(records).conflicts).toHaveLength(1);
    const settled = keep([make('settled', { keep: records[0].id, over: [records[1].id], reason: 'x' })], 4);
    expect(stateOf([...records, ...settled]).conflicts).toEqual([]);
  });

  test('a third that knew of none joins both into one conflict', () => {
    const blind = {
      ...keep([make('ringsUsed', { ...different, reason: '3' }, { device: uuid() })], 3)[0],
      seen: 0,
    };
    const records = [...twoOf(1, different), blind] as AnyKept[];
    expect(stateOf(records).conflicts.map((conflict) => conflict.records.length)).toEqual([3]);
  });

  test('an unsent record contradicts what its device had not received', () => {
    const unsent = make('ringsUsed', different, { device: two });
    expect(stateOf([unsent, ...twoOf(1).slice(0, 1)]).conflicts).toHaveLength(1);
    expect(stateOf([{ ...unsent, seen: 1 }, ...twoOf(1).slice(0, 1)]).conflicts).toEqual([]);
    expect(stateOf([unsent, step('ringsUsed')]).conflicts).toHaveLength(1);
  });

  test('lifts contradict within a stage and lift; photos, notes and tests stand beside each other', () => {
    const lift = (lift: number, way: 'raised' | 'leftLow', device: string) =>
      ({
        ...keep(
          [make('liftReached', { ...plain.liftReached, lift, way }, { device })],
          lift * 2 + (device === two ? 1 : 0),
        )[0],
        seen: 0,
      }) as AnyKept;
    expect(stateOf([lift(1, 'raised', one), lift(2, 'leftLow', two)]).conflicts).toEqual([]);
    expect(stateOf([lift(1, 'raised', one), lift(1, 'leftLow', two)]).conflicts).toHaveLength(1);
    for (const kind of ['photo', 'note', 'vacuum'] as const) {
      const facts = { ...plain[kind], caption: 'other', text: 'other', reason: 'other' };
      const records = [
        ...keepPlain([kind]),
        { ...keep([make(kind, facts as never, { device: two })], 2)[0], seen: 0 },
      ];
      expect(stateOf(records as AnyKept[]).conflicts).toEqual([]);
    }
  });
});
