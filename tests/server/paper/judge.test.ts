import { describe, expect, it } from 'vitest';
import { judgeEdge, judgeRim, judgeVacuum } from '../../../server/paper/pack/judge.ts';
import { exampleSetting } from './example.ts';

const inch = 0.0254;
const quarter = { proudM: inch / 4, lowM: inch / 4 };
const of = { units: exampleSetting.units, isClock: true };

describe('a rim against its limits', () => {
  it('meets them up to the limit itself, typed as a fraction', () => {
    const { meets, reasons } = judgeRim([inch / 4, 0, -inch / 4, 0], quarter, of);
    expect(meets).toBe(true);
    expect(reasons).toEqual(['The rim is within 1⁄4 in proud and 1⁄4 in low all round.']);
  });

  it('names every clock that is off, and which way', () => {
    const { meets, reasons } = judgeRim([0.5 * inch, 0, -0.375 * inch, 0], quarter, of);
    expect(meets).toBe(false);
    expect(reasons[0]).toBe(
      'The rim is 1⁄2 in proud at 12 o’clock, 3⁄8 in low at 6 o’clock; allowed are 1⁄4 in proud and 1⁄4 in low.',
    );
  });

  it('looks between the clocks: 3/16 at 12 and at 3 are more than a quarter at 1:30', () => {
    const e = (3 / 16) * inch;
    const { meets, reasons } = judgeRim([e, e, -e, -e], quarter, of);
    expect(meets).toBe(false);
    expect(reasons[0]).toContain('at 1:30');
  });

  it('takes no proud rim where the limits are 0 and 6 mm low', () => {
    const drain = { proudM: 0, lowM: 0.006 };
    expect(judgeRim([-0.003, -0.003, -0.003, -0.003], drain, of).meets).toBe(true);
    expect(judgeRim([0.002, 0.002, 0.002, 0.002], drain, of).meets).toBe(false);
  });

  it('says nothing of a rim that was not checked', () => {
    expect(judgeRim(null, quarter, of)).toEqual({ meets: false, reasons: [] });
  });
});

const asked = { ...quarter, edgeM: { along: 0.003, across: 0.006 }, isVacuumAsked: true };
const notAsked = { ...quarter, edgeM: { along: null, across: null }, isVacuumAsked: false };

describe('a straightedge against its limits', () => {
  const laid = (along: number, across: number | null) => ({
    lengthM: 3,
    along: { gapM: along, proudM: 0 },
    across: across === null ? null : { gapM: 0, proudM: across },
  });

  it('counts gap and step alike, each way against its own limit', () => {
    expect(judgeEdge(laid(0.003, 0.006), asked, of.units).meets).toBe(true);
    expect(judgeEdge(laid(0.004, 0.006), asked, of.units).reasons[0]).toContain('along the road');
    expect(judgeEdge(laid(0.003, 0.007), asked, of.units).reasons[0]).toContain('across the road');
  });

  it('does not meet them where it was not laid, and asks nothing where nothing is asked for', () => {
    expect(judgeEdge(null, asked, of.units).reasons).toHaveLength(2);
    expect(judgeEdge(laid(0.003, null), asked, of.units).meets).toBe(false);
    expect(judgeEdge(null, notAsked, of.units).meets).toBe(true);
  });
});

describe('a vacuum test', () => {
  const made = (outcome: 'passed' | 'failed' | 'notTested') => ({
    tableId: null,
    scope: 'structure' as const,
    diameterM: null,
    depthM: null,
    headAt: 'frame' as const,
    frameInPlace: true,
    startInHg: 10,
    endInHg: 9.5,
    seconds: 60,
    requiredSeconds: 60,
    gauge: '',
    outcome,
    reason: '',
  });

  it('that was not made is none that was passed', () => {
    expect(judgeVacuum(null, asked).meets).toBe(false);
    expect(judgeVacuum(made('notTested'), asked).meets).toBe(false);
    expect(judgeVacuum(made('passed'), asked).meets).toBe(true);
    expect(judgeVacuum(null, notAsked).meets).toBe(true);
  });

  it('that failed counts even where none is asked for', () => {
    expect(judgeVacuum(made('failed'), notAsked).meets).toBe(false);
  });
});
