import { describe, expect, it } from 'vitest';
import { sealWords } from '../../../server/paper/seal.ts';
import { exampleCover } from './example.ts';

const inch = 0.0254;
const { ringCatalogue, limits: given } = exampleCover();
const catalogue = {
  ...ringCatalogue!,
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
    const words = sealWords(2, { catalogue, limits: asked('none', 0.3 * inch), chosen: null });
    expect(words.joints).toEqual(Array(3).fill('one bead, 0.1 in, under'));
    expect(words.warning).toBeNull();
  });

  it('warn where the rings were solved without the thick rope of the test', () => {
    const words = sealWords(2, { catalogue, limits: asked('all', 0.3 * inch), chosen: null });
    expect(words.joints[0]).toBe('one rope, 0.1 in, under');
    expect(words.warning).toMatch(/^Not to be built yet: .*thick rope at bottom and top \(0\.3 in pressed\)/);
  });

  it('say the thick rope where a stack was chosen with it, and warn no more', () => {
    const jointM = { base: 0.3 * inch, between: 0.1 * inch, top: 0.3 * inch };
    const chosen = { stack: [], by: 'J', at: '2026-11-25T20:00:00Z', reason: 'rope', jointM };
    const words = sealWords(2, { catalogue, limits: asked('all', 0.3 * inch), chosen });
    expect(words.joints).toEqual([
      'one thick rope, 0.3 in, under',
      'one rope, 0.1 in, under',
      'one thick rope, 0.3 in, under',
    ]);
    expect(words.warning).toBeNull();
  });

  it('say nothing without a ring catalogue', () => {
    const words = sealWords(2, { catalogue: null, limits: asked('all', 0.3 * inch), chosen: null });
    expect(words).toEqual({ joints: [], kit: '', warning: null });
  });
});
