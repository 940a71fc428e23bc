import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { boundsOf, lieOf, mayFit } from '#core/stack/bounds.ts';
import { tableFlats } from '#core/stack/flats.ts';
import { poseStack } from '#core/stack/rigid.ts';
import { inchCatalogue, stackTarget } from '../../helpers/catalogues.ts';

const slope = fc.double({ min: -0.3, max: 0.3, noNaN: true });
const azimuth = fc.double({ min: 0, max: 2 * Math.PI, noNaN: true });
const taper = fc.record({
  thin: fc.double({ min: 0.005, max: 0.05, noNaN: true }),
  more: fc.double({ min: 0.001, max: 0.1, noNaN: true }),
  azimuth,
});
const joint = { base: 0.003, between: 0.004, top: 0.005 };

describe('bounds of tapered rings', () => {
  test('hold every turn of one or two, on steep seats under steep streets too', () => {
    let closest = Infinity;
    fc.assert(
      fc.property(
        fc.array(taper, { minLength: 1, maxLength: 2 }),
        fc.tuple(slope, slope),
        fc.tuple(slope, slope),
        (tapers, gradient, seatGradient) => {
          const target = stackTarget({ gradient, seatGradient, rise: 0.3 });
          const rings = tapers.map(({ thin, more, azimuth }) => ({
            ...{ thin, thick: thin + more, outerDiameter: 0.85, azimuth },
          }));
          const { centre, sway, chimney } = poseStack(target, rings, joint);
          const [first, second = 0] = rings.map(({ thin, thick }) => Math.atan((thick - thin) / 0.85));
          const angles = { sum: first + second, difference: Math.abs(first - second) };
          const height = chimney + target.frameHeight;
          const bounds = boundsOf(target, lieOf(target), { angles, height });
          expect(centre).toBeGreaterThan(bounds.low - 1e-9);
          expect(centre).toBeLessThan(bounds.high + 1e-9);
          expect(sway).toBeGreaterThan(bounds.sway - 1e-9);
          closest = Math.min(closest, sway - bounds.sway);
        },
      ),
      { numRuns: 3000, seed: 11 },
    );
    // They are not so wide that nothing could break them.
    expect(closest).toBeLessThan(1e-3);
  });

  test('leave a choice out only where no flat stack of so many rings brings it near enough', () => {
    const flats = tableFlats(inchCatalogue());
    const [one] = flats.byCount[1].height;
    const asked = { most: 1, along: 1, joints: 0 };
    const centre = -one - 0.004;
    const bounds = { low: centre, high: centre, sway: 0.001 };
    expect(mayFit(bounds, flats, { ...asked, limit: 0.005 + 1e-6 })).toBe(true);
    expect(mayFit(bounds, flats, { ...asked, limit: 0.005 - 1e-6 })).toBe(false);
    expect(mayFit(bounds, flats, { ...asked, most: 0, limit: 0.005 + 1e-6 })).toBe(false);
    expect(mayFit(bounds, flats, { ...asked, most: -1, limit: Infinity })).toBe(false);
    expect(mayFit(bounds, flats, { ...asked, limit: Infinity })).toBe(true);
  });
});
