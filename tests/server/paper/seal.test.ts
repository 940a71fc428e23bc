import { describe, expect, it } from 'vitest';
import { sealWords } from '../../../server/paper/seal.ts';
import { drawSheet } from '../../../server/paper/sheet/sheet.ts';
import { hasPoppler, textOf } from '../../helpers/pdf.ts';
import { exampleCover, exampleSetting } from './example.ts';
import { printAll } from './print.ts';

const inch = 0.0254;
const { ringCatalogue: rings, limits: given, plan } = exampleCover();
const ringCatalogue = {
  ...rings!,
  unit: 'in' as const,
  joint: { baseM: 0.1 * inch, betweenM: 0.1 * inch, topM: 0.1 * inch },
};
const asked = (vacuumTest: 'none' | 'all', thickRopeM: number | null) => ({
  ...given,
  vacuumTest: { value: vacuumTest, from: 'agency' as const },
  thickRopeM: { value: thickRopeM, from: 'agency' as const },
});

/** Rope and no tube for a vacuum test, thick at bottom and top: common practice, no source. */
describe('the joints of a sheet', () => {
  it('say the bead under each ring and how thick it ends', () => {
    const words = sealWords(2, { ringCatalogue, plan, limits: asked('none', 0.3 * inch), chosen: null });
    expect(words.joints).toEqual(Array(3).fill('one bead under, 0.1 in'));
    expect(words.warning).toBeNull();
  });

  it('warn where the rings were solved without the thick rope of the test', () => {
    const words = sealWords(2, { ringCatalogue, plan, limits: asked('all', 0.3 * inch), chosen: null });
    expect(words.joints[0]).toBe('one rope under, 0.1 in');
    expect(words.warning).toMatch(/^Not to be built yet: .*thick rope at bottom and top \(0\.3 in pressed\)/);
  });

  it('say the thick rope where a stack was chosen with it, and warn no more', () => {
    const jointM = { base: 0.3 * inch, between: 0.1 * inch, top: 0.3 * inch };
    const chosen = { stack: [], by: 'J', at: '2026-11-25T20:00:00Z', reason: 'rope', jointM };
    const words = sealWords(2, { ringCatalogue, plan, limits: asked('all', 0.3 * inch), chosen });
    expect(words.joints).toEqual([
      'one thick rope under, 0.3 in',
      'one rope under, 0.1 in',
      'one thick rope under, 0.3 in',
    ]);
    expect(words.warning).toBeNull();
  });

  it('say the thick rope where the plan was made with it, and warn again where less is counted than is asked for now', () => {
    const counted = { ...plan!, thickRopeM: 0.3 * inch };
    const words = (thickRopeM: number) =>
      sealWords(2, { ringCatalogue, plan: counted, limits: asked('all', thickRopeM), chosen: null });
    expect(words(0.3 * inch)).toMatchObject({
      joints: ['one thick rope under, 0.3 in', 'one rope under, 0.1 in', 'one thick rope under, 0.3 in'],
      warning: null,
    });
    expect(words(0.4 * inch).warning).toMatch(/^Not to be built yet/);
  });

  it('are two beads on a seat that was seen rough, and count what that takes', () => {
    const limits = {
      ...asked('none', null),
      sealCircleM: { value: 29 * inch, from: 'agency' as const },
    };
    const words = sealWords(3, { ringCatalogue, plan, limits, chosen: null, isSeatRough: true });
    expect(words.joints[0]).toBe('two beads under, 0.1 in');
    expect(words.counted).toEqual({ bead: 5, rope: 0, thickRope: 0 });
    // A worked example of the trade: 478.3 in of a 1/2 in bead. Common practice, no source.
    expect(words.kit).toBe('5 beads: 6 cartridges');
    const unset = { ...limits, sealCircleM: { value: null, from: 'default' as const } };
    expect(sealWords(3, { ringCatalogue, plan, limits: unset, chosen: null }).kit).toBe(
      '4 beads; cartridges and rolls not reckoned, the circle they run on is not set',
    );
  });

  it('say nothing without a ring catalogue', () => {
    const words = sealWords(2, { ringCatalogue: null, plan, limits: asked('all', 0.3 * inch), chosen: null });
    expect(words).toEqual({ joints: [], counted: null, kit: '', warning: null });
  });
});

describe.skipIf(!hasPoppler)('a sheet whose rings do not count the thick rope, read with poppler', () => {
  it('says so to the last word, and does not say to build them', async () => {
    const stack = exampleCover().plan!.stack;
    const seal = sealWords(stack.length, {
      ringCatalogue,
      plan,
      limits: asked('all', 0.3 * inch),
      chosen: null,
    });
    const cover = exampleCover({ seal });
    const text = textOf(await printAll([(paper) => drawSheet(paper, cover, exampleSetting)]));
    expect(text.replace(/\s+/g, ' ')).toContain(seal.warning);
    expect(text).toContain('one rope under, 0.1 in');
    expect(text).not.toContain('Build from the bottom');
  });
});
