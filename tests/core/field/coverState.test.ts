import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { stateOfCover, stillCuring } from '#core/field/coverState.ts';
import { type AnyKept, type AnyMade, recordKinds } from '#core/field/facts.ts';
import type { AnyRecord } from '#core/field/order.ts';
import type { FieldStatus } from '#core/field/walk.ts';
import { sayWarning, stepWords } from '#core/field/words.ts';
import type { FieldStatus as SharedStatus } from '#shared/status.ts';
import { keep, keepPlain, make, off, one, plain, two, uuid } from './records.ts';

const given = { sent: true, limits: { proud: 0.006, low: 0.006 } };
const stateOf = (records: readonly AnyRecord[]) => stateOfCover(records, given);
const statusAfter = (...records: AnyMade[]) => stateOf(keep(records)).status;
const step = (kind: (typeof recordKinds)[number]) => make(kind, plain[kind]);
const codes = (records: readonly AnyRecord[]) => stateOf(records).warnings.map(({ code }) => code);

describe('the status of a cover from its records', () => {
  test('the statuses are those of the one list', () => {
    const here: SharedStatus[] = ['planned', 'set'] satisfies FieldStatus[];
    const there: FieldStatus[] = here satisfies SharedStatus[];
    expect(there).toEqual(here);
  });

  test('nothing recorded: planned where the plan was sent, else none', () => {
    expect(stateOf([]).status).toBe('planned');
    expect(stateOfCover([], { ...given, sent: false }).status).toBeNull();
    expect(statusAfter(step('found'), step('note'), step('stackChosen'))).toBe('planned');
  });

  test('each step in its order', () => {
    const kinds = [
      'plated',
      'reopened',
      'dryStacked',
      'ringsUsed',
      'sealed',
      'frameSet',
      'backfilled',
    ] as const;
    const after = kinds.map((_, index) => stateOf(keepPlain(kinds.slice(0, index + 1))).status);
    expect(after).toEqual(['plated', 'planned', 'stacked', 'stacked', 'stacked', 'set', 'set']);
    expect(statusAfter(step('frameSet'), step('rimChecked'))).toBe('set');
    expect(statusAfter(step('frameSet'), make('rimChecked', off))).toBe('offGrade');
    expect(statusAfter(step('rimChecked'), step('accepted'))).toBe('accepted');
    expect(statusAfter(step('rimChecked'), make('accepted', { ...plain.accepted, accepted: false }))).toBe(
      'offGrade',
    );
  });

  test('limits are held on their own sides, and between the clocks', () => {
    const records = keep([make('rimChecked', { ...plain.rimChecked, rimErrorsM: [0.001, 0, 0, 0] })]);
    const drainage = { sent: true, limits: { proud: 0, low: 0.006 } };
    expect(stateOfCover(records, drainage).status).toBe('offGrade');
    expect(stateOfCover(records, { sent: true, limits: { proud: 1, low: 1 } }).status).toBe('set');
    const inch = 0.0254;
    // 3/16 at 12 and at 3 are more than a quarter at 1:30.
    const e = (3 / 16) * inch;
    const tilted = keep([make('rimChecked', { ...plain.rimChecked, rimErrorsM: [e, e, -e, -e] })]);
    const quarter = { proud: inch / 4, low: inch / 4 };
    expect(stateOfCover(tilted, { sent: true, limits: quarter }).status).toBe('offGrade');
    const low = keep([make('rimChecked', { ...plain.rimChecked, rimErrorsM: [-0.0061, 0, 0, 0] })]);
    expect(stateOfCover(low, drainage).status).toBe('offGrade');
  });

  test('off grade goes back to work by its stack, never by filling round it', () => {
    const bad = make('rimChecked', off);
    expect(statusAfter(bad, step('backfilled'), step('collarPlaced'))).toBe('offGrade');
    expect(statusAfter(bad, step('stackChosen'))).toBe('planned');
    expect(statusAfter(bad, step('dryStacked'))).toBe('stacked');
    expect(statusAfter(bad, step('dryStacked'), step('frameSet'))).toBe('set');
    expect(statusAfter(bad, step('rimChecked'))).toBe('set');
    expect(stateOf(keep([bad, step('dryStacked')])).checks.rimChecked).toBeNull();
  });

  test('an acceptance is of the rim as it was then: a later check, plate or stack asks for a new one', () => {
    for (const kind of ['rimChecked', 'plated', 'frameSet'] as const) {
      const state = stateOf(keep([step('accepted'), step(kind)]));
      expect(state.checks.accepted).toBeNull();
      expect(state.warnings.map(({ code }) => code)).toContain('changedAfterAccepted');
      expect(state.status).not.toBe('accepted');
    }
    expect(statusAfter(step('accepted'), step('collarPlaced'), step('photo'))).toBe('accepted');
  });

  test('a straightedge counts until the frame is set anew', () => {
    expect(stateOf(keepPlain(['frameSet', 'straightedge'])).checks.straightedge).not.toBeNull();
    expect(stateOf(keepPlain(['straightedge', 'frameSet'])).checks.straightedge).toBeNull();
  });
});

describe('the vacuum test that counts', () => {
  const testAt = (headAt: 'frame' | 'topRing' | 'seat') => make('vacuum', { ...plain.vacuum, headAt });
  const counts = (headAt: 'frame' | 'topRing' | 'seat', ...after: Parameters<typeof step>[0][]) => {
    const { checks, warnings } = stateOf(keep([testAt(headAt), ...after.map(step)]));
    const isSaid = warnings.some(({ code }) => code === 'testOvertaken');
    expect(isSaid).toBe(checks.vacuum === null);
    return checks.vacuum !== null;
  };

  test('is no more where something under its head was worked on, which is said', () => {
    expect((['frame', 'topRing', 'seat'] as const).map((head) => counts(head, 'frameSet'))).toEqual([
      false,
      true,
      true,
    ]);
    for (const kind of ['plated', 'stackChosen', 'dryStacked'] as const)
      expect((['frame', 'topRing', 'seat'] as const).map((head) => counts(head, kind))).toEqual([
        false,
        false,
        true,
      ]);
    expect(counts('topRing', 'rimChecked', 'frameSet')).toBe(true);
    expect(counts('topRing', 'rimChecked', 'ringsUsed')).toBe(false);
  });

  test('stands when rings and sealing are only written down after it, and what fills round it', () => {
    expect(
      counts('frame', 'ringsUsed', 'sealed', 'backfilled', 'collarPlaced', 'rimChecked', 'accepted'),
    ).toBe(true);
  });
});

describe('plates', () => {
  test('a plate is the status until it is reopened, whatever else is recorded', () => {
    const records = keepPlain(['plated', 'dryStacked', 'frameSet', 'rimChecked', 'accepted']);
    const state = stateOf(records);
    expect(state.status).toBe('plated');
    expect(state.plates).toMatchObject([
      {
        plate: 'P-7',
        by: 'R. Holt',
        since: '2026-05-04T21:00:00.000Z',
        ties: [{ to: 'pole', distanceM: 4.2 }],
      },
    ]);
    expect(stateOf(keep([...keepPlain(['plated', 'frameSet']), step('reopened')])).status).toBe('set');
  });

  test('a reopening that did not know of the newer plate leaves it', () => {
    const records = [
      ...keep([step('plated'), make('plated', { ...plain.plated, plate: 'P-9' }, { device: two })]),
      { ...keep([make('reopened', { plate: 'P-7' })], 3)[0], seen: 1 },
    ] as AnyKept[];
    const state = stateOf(records);
    expect(state.plates.map(({ plate }) => plate)).toEqual(['P-9']);
    expect(state.status).toBe('plated');
    expect(state.warnings.map(({ code }) => code)).toEqual(['platedTwice', 'reopenedUnseen']);
  });

  test('who names a plate opens it, known or not, in whatever case he writes it', () => {
    const records = [
      ...keep([step('plated')]),
      { ...make('reopened', { plate: ' p-7' }, { device: two }), seen: 0 },
    ];
    expect(stateOf(records).plates).toEqual([]);
  });

  test('another name, none, and no plate at all', () => {
    expect(codes(keep([step('plated'), make('reopened', { plate: 'P-1' })]))).toEqual(['reopenedOther']);
    expect(codes(keep([step('plated'), make('reopened', { plate: '' })]))).toEqual([]);
    expect(codes(keep([step('reopened')]))).toEqual(['reopenedWithoutPlate']);
  });
});

describe('words about records', () => {
  test('a record taken back counts no more, twice taken back is once, and a word can be taken back', () => {
    const stack = step('dryStacked');
    const back = make('withdrawn', { record: stack.id.toUpperCase(), reason: 'wrong cover' });
    const again = make('withdrawn', { record: stack.id, reason: 'wrong cover' });
    const undo = make('withdrawn', { record: back.id, reason: 'it was right' });
    expect(statusAfter(stack, back)).toBe('planned');
    expect(statusAfter(stack, back, again)).toBe('planned');
    expect(statusAfter(stack, back, undo)).toBe('stacked');
    expect(statusAfter(stack, back, again, undo)).toBe('planned');
    const state = stateOf(keep([stack, back, again]));
    expect(state.leftOut.map(({ record, why }) => [record.id, why])).toEqual([[stack.id, 'withdrawn']]);
    expect(state.history).toHaveLength(3);
    expect(state.standing).toEqual([]);
  });

  test('words that point to nothing, or to what came later, change nothing and are said', () => {
    const stack = step('dryStacked');
    const early = make('withdrawn', { record: stack.id, reason: 'x' });
    const lost = make('withdrawn', { record: uuid(), reason: 'x' });
    const nowhere = make('settled', { keep: uuid(), over: [stack.id], reason: 'x' });
    const empty = make('settled', { keep: stack.id, over: [uuid(), stack.id], reason: 'x' });
    const state = stateOf(keep([early, stack, lost, nowhere, empty]));
    expect(state.status).toBe('stacked');
    expect(state.warnings.map(({ code }) => code)).toEqual(Array(4).fill('namesNothing'));
  });

  test('what is kept by a word that was taken back lets the other stand again', () => {
    const [a, b] = [
      step('ringsUsed'),
      make('ringsUsed', { ...plain.ringsUsed, reason: 'two' }, { device: two }),
    ];
    const settled = make('settled', { keep: a.id, over: [b.id], reason: 'counted' });
    const gone = make('withdrawn', { record: a.id, reason: 'not mine' });
    expect(stateOf(keep([a, b, settled])).leftOut).toMatchObject([
      { record: { id: b.id }, why: 'settledOver' },
    ]);
    expect(stateOf(keep([a, b, settled, gone])).standing.map(({ id }) => id)).toEqual([b.id]);
    const unsettled = make('withdrawn', { record: settled.id, reason: 'wait' });
    expect(stateOf(keep([a, b, settled, unsettled])).standing).toHaveLength(2);
  });

  test('of two settlements that contradict each other the later holds, and one record always stands', () => {
    const [a, b] = [
      step('ringsUsed'),
      make('ringsUsed', { ...plain.ringsUsed, reason: 'two' }, { device: two }),
    ];
    const first = make('settled', { keep: a.id, over: [b.id], reason: '1' });
    const second = make('settled', { keep: b.id, over: [a.id], reason: '2' }, { device: two });
    expect(stateOf(keep([a, b, first, second])).standing.map(({ id }) => id)).toEqual([b.id]);
    const words = make('settled', { keep: b.id, over: [first.id, a.id], reason: '3' });
    expect(stateOf(keep([a, b, first, words])).leftOut.map(({ record }) => record.id)).toEqual([a.id]);
  });
});

describe('what else the records come to', () => {
  test('cures end their hours after the pouring', () => {
    const state = stateOf(keepPlain(['mortarBed', 'collarPlaced']));
    expect(state.cures.map(({ what, releaseAt }) => [what, releaseAt])).toEqual([
      ['mortar', '2026-05-04T23:00:00.000Z'],
      ['collar', '2026-05-05T22:00:00.000Z'],
    ]);
    expect(stillCuring(state.cures, '2026-05-05T00:00:00Z').map(({ what }) => what)).toEqual(['collar']);
    expect(stillCuring(state.cures, '2026-05-05T22:00:00Z')).toEqual([]);
    const odd = keep([make('collarPlaced', { ...plain.collarPlaced, pouredAt: '2026-13-45T00:00:00Z' })]);
    expect(codes(odd)).toEqual(['noSuchMoment']);
    expect(stillCuring(stateOf(odd).cures, '2026-05-05T22:00:00Z')).toHaveLength(1);
  });

  test('the last record of each kind holds, lifts by stage, tests all', () => {
    const records = keep([
      make('liftReached', plain.liftReached),
      make('liftReached', { ...plain.liftReached, lift: 2 }),
      make('liftReached', { ...plain.liftReached, way: 'leftLow' }),
      make('vacuum', { ...plain.vacuum, outcome: 'failed' }),
      make('vacuum', plain.vacuum),
      make('frameSet', plain.frameSet, { deviceTime: '2026-05-04T23:00:00.000Z' }),
      make('rimChecked', plain.rimChecked, { deviceTime: '2026-05-05T01:00:00.000Z' }),
      make('accepted', plain.accepted, { deviceTime: '2026-05-06T08:00:00.000Z' }),
    ]);
    const state = stateOf(records);
    expect(state.lifts.map(({ facts }) => [facts.lift, facts.way])).toEqual([
      [1, 'leftLow'],
      [2, 'raised'],
    ]);
    expect(state.vacuum.map(({ facts }) => facts.outcome)).toEqual(['failed', 'passed']);
    expect(state.holding.vacuum?.facts.outcome).toBe('passed');
    expect(state.dates).toEqual({
      first: '2026-05-04T21:00:00.000Z',
      last: '2026-05-06T08:00:00.000Z',
      set: '2026-05-04T23:00:00.000Z',
      checked: '2026-05-05T01:00:00.000Z',
      accepted: '2026-05-06T08:00:00.000Z',
    });
    expect(stateOf([]).dates).toEqual({ first: null, last: null, set: null, checked: null, accepted: null });
  });

  test('steps out of their order are kept and said; work that begins anew is in order again', () => {
    expect(codes(keepPlain(['frameSet', 'dryStacked']))).toEqual(['outOfOrder']);
    expect(
      codes(keepPlain(['found', 'dryStacked', 'sealed', 'ringsUsed', 'frameSet', 'collarPlaced'])),
    ).toEqual([]);
    expect(
      codes(keep([step('frameSet'), make('rimChecked', off), step('dryStacked'), step('frameSet')])),
    ).toEqual([]);
    expect(codes(keepPlain(['frameSet', 'plated', 'reopened', 'dryStacked']))).toEqual([]);
  });

  test('an unsent record that was received meanwhile counts once, as received', () => {
    const [kept] = keepPlain(['dryStacked']);
    const { seq: _, receivedAt: __, ...unsent } = kept;
    const state = stateOf([unsent as AnyMade, kept, { ...(unsent as AnyMade), id: kept.id.toUpperCase() }]);
    expect(state.history).toEqual([kept]);
    const mine = step('note');
    expect(stateOf([mine, mine]).history).toEqual([mine]);
  });

  test('every warning has words, and every kind a name', () => {
    const records = [
      ...keep([step('plated'), step('plated'), make('reopened', { plate: 'X' })]),
      ...keep([step('frameSet'), step('dryStacked'), step('accepted'), step('rimChecked')], 4),
      ...keep([step('reopened'), make('withdrawn', { record: uuid(), reason: 'x' })], 8),
      ...keep([make('collarPlaced', { ...plain.collarPlaced, pouredAt: 'soon' })], 10),
      ...keep([make('plated', plain.plated, { device: two })], 11),
      { ...keep([make('reopened', { plate: 'Y' })], 12)[0], seen: 1 },
      ...keep([make('vacuum', plain.vacuum), step('frameSet')], 13),
    ] as AnyKept[];
    const { warnings } = stateOf(records);
    expect(new Set(warnings.map(({ code }) => code)).size).toBe(9);
    for (const warning of warnings) expect(sayWarning(warning)).toMatch(/^[A-Z].*\.$/);
    expect(Object.keys(stepWords).sort()).toEqual([...recordKinds].sort());
  });
});

describe('for any records', () => {
  const ids = Array.from({ length: 12 }, () => uuid());
  const anyRecord = fc
    .record({
      kind: fc.constantFrom(...recordKinds),
      id: fc.constantFrom(...ids),
      device: fc.constantFrom(one, two),
      seen: fc.integer({ min: 0, max: 12 }),
      target: fc.constantFrom(...ids),
      other: fc.constantFrom(...ids),
      error: fc.constantFrom(0, 0.02),
      plate: fc.constantFrom('P-1', 'P-2', ''),
    })
    .map(({ kind, target, other, error, plate, ...rest }) => {
      const facts = {
        ...plain[kind],
        ...(kind === 'withdrawn' && { record: target }),
        ...(kind === 'settled' && { keep: target, over: [other] }),
        ...(kind === 'rimChecked' && { rimErrorsM: [error, error, error, error] }),
        ...((kind === 'plated' || kind === 'reopened') && { plate }),
      };
      return make(kind, facts as never, rest);
    });
  const anyRecords = fc
    .uniqueArray(anyRecord, { selector: ({ id }) => id, maxLength: 12 })
    .map((made) => keep(made));

  test('the order of the array says nothing: the order of receipt does', () => {
    fc.assert(
      fc.property(
        anyRecords.chain((records) =>
          fc.tuple(fc.constant(records), fc.shuffledSubarray(records, { minLength: records.length })),
        ),
        ([records, shuffled]) => {
          expect(stateOf(shuffled)).toEqual(stateOf(records));
        },
      ),
    );
  });

  test('nothing is dropped: each record stands, is left out with a reason, or is a word', () => {
    fc.assert(
      fc.property(anyRecords, (records) => {
        const { standing, leftOut, history } = stateOf(records);
        const gone = new Set(leftOut.map(({ record }) => record.id));
        expect(history).toHaveLength(records.length);
        for (const record of records) {
          const isWord = record.kind === 'withdrawn' || record.kind === 'settled';
          expect(standing.includes(record)).toBe(!isWord && !gone.has(record.id));
        }
      }),
    );
  });

  test('a plate is never lost: it is open until a standing record reopens it', () => {
    fc.assert(
      fc.property(anyRecords, (records) => {
        const { standing, status } = stateOf(records);
        const last = standing.findLastIndex(({ kind }) => kind === 'plated');
        const isReopened = standing.slice(last + 1).some(({ kind }) => kind === 'reopened');
        if (last >= 0 && !isReopened) expect(status).toBe('plated');
      }),
    );
  });

  test('two devices whose records are of different steps come to one state however they interleave', () => {
    const mine = ['found', 'ringsUsed', 'frameSet'] as const;
    const theirs = ['photo', 'note', 'liftReached'] as const;
    fc.assert(
      fc.property(fc.shuffledSubarray([0, 0, 0, 1, 1, 1], { minLength: 6 }), (turns) => {
        const queues = [
          mine.map((kind) => make(kind, plain[kind], { device: one })),
          theirs.map((kind) => make(kind, plain[kind], { device: two })),
        ];
        const state = stateOf(keep(turns.map((turn) => queues[turn].shift()!)));
        expect(state).toMatchObject({ status: 'set', conflicts: [], warnings: [], leftOut: [] });
        expect(Object.keys(state.holding).sort()).toEqual([...mine, ...theirs].sort());
      }),
    );
  });

  test('taking back a record twice is as once', () => {
    fc.assert(
      fc.property(anyRecords, fc.constantFrom(...ids), (records, record) => {
        const word = () => keep([make('withdrawn', { record, reason: 'x' })], 13)[0];
        const again = { ...word(), seq: 14 } as AnyKept;
        const once = stateOf([...records, word()]);
        const twice = stateOf([...records, word(), again]);
        expect(twice.standing).toEqual(once.standing);
        expect(twice.status).toBe(once.status);
      }),
    );
  });
});
