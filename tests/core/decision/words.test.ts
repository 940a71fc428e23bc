import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { sayReason, type WordUnits } from '#core/decision/words.ts';

/** Every code that the rooms write into a reason, read from their source: a new one without words fails here. */
function codesInSource(): string[] {
  const read = (path: string) => readFileSync(new URL(`../../../core/${path}`, import.meta.url), 'utf8');
  const found = new Set<string>();
  for (const path of ['decision/decide.ts', 'plan/plan.ts', 'plan/planInProject.ts', 'plan/sources.ts'])
    for (const [, code] of read(path).matchAll(/\breason\(\s*'(\w+)'/g)) found.add(code);
  for (const [, code] of read('surface/types.ts').matchAll(/\breason: '(\w+)'/g)) found.add(code);
  for (const [, way] of read('decision/mill.ts').matchAll(/way: '(\w+)'/g))
    found.add(`mill${way[0].toUpperCase()}${way.slice(1)}`);
  return [...found, 'millShorten', 'ownSide', 'foundSide', 'proud', 'low'];
}

/** One value for every figure that a sentence may ask for. */
const values = {
  allowance: 0.0071,
  buildup: 0.09,
  by: 0.0123,
  centre: -0.002,
  count: 2,
  detail: 'outside the faces',
  distance: 1.25,
  drop: 0.075,
  frame: 0.18,
  limit: 0.33,
  line: 'crown',
  maxRings: 6,
  misfit: 0.0026,
  need: 0.4,
  near: 8,
  nearest: 7.25,
  off: -0.2,
  reach: 5.5,
  share: 0.018,
  net: 0.0125,
  points: 'P4, P9',
  pressed: 0.0081,
  joints: 2,
  raise: 0.06,
  shots: 4,
  short: 0.07,
  side: 'high',
  sigma: 0.005,
  slope: 0.3,
  spare: 0.015,
  thinnest: 0.025,
  tilt: 0.01,
  times: 2.4,
  tolerance: 0.006,
  worst: 0.004,
  wanted: 'automatic',
  surface: 'Lane survey',
  stage: 'milled',
  lift: 2,
  names: 'Zone A, Zone B',
};

const counting = [
  'shotsShifted',
  'shotsDisagree',
  'tooFewShots',
  'collinear',
  'within',
  'leftOut',
  'scatter',
  'fromTreatment',
  'noSuchLift',
  'surveyTooWeak',
];

const inches: WordUnits = { small: 'decimalInches', elevation: 'us-ft' };
const fractions: WordUnits = { small: 'fractionInches', elevation: 'ft' };
const metric: WordUnits = { small: 'millimetres', elevation: 'm' };

describe('the words for a reason', () => {
  test('the codes are found in the source', () => {
    expect(codesInSource().length).toBeGreaterThan(28);
  });

  test.each([...new Set(codesInSource())])(
    '%s is a whole sentence with units, in inches and in millimetres',
    (code) => {
      for (const units of [inches, fractions, metric])
        for (const limit of code === 'unreachable' ? ['tilt', 'rings', 'sizes'] : [values.limit]) {
          const sentence = sayReason({ code, values: { ...values, limit } }, units);
          expect(sentence).toMatch(/^[A-Z\d].*\.$/);
          expect(sentence).not.toMatch(/NaN|undefined|null|Infinity|\[object/);
          // A number stands with its unit, unless it counts something.
          const numbers = [
            ...sentence.replace(/P\d+/g, '').matchAll(/\d[\d.]*(?: \d+\/\d+|\/\d+)?(.{0,3})/g),
          ];
          const bare = numbers.map(([whole]) => whole).filter((n) => !/ (in|mm|ft|m|%)/.test(n));
          if (!counting.includes(code)) expect(bare).toEqual([]);
          expect(sentence).not.toMatch(units === metric ? /\d in\b/ : /\d mm\b/);
        }
    },
  );

  test('small lengths are told in inches or millimetres, distances in feet or metres', () => {
    const low = { code: 'low', values: { by: 0.0127 } };
    expect(sayReason(low, inches)).toBe('The rim sits 0.50 in under the new surface.');
    expect(sayReason(low, fractions)).toBe('The rim sits 1/2 in under the new surface.');
    expect(sayReason(low, metric)).toBe('The rim sits 13 mm under the new surface.');
    const far = { code: 'noShots', values: { limit: 6, nearest: 7.3152 } };
    expect(sayReason(far, inches)).toBe(
      'No shot on the surface within 19.7 ft; the nearest is 24.0 ft away.',
    );
    expect(sayReason(far, metric)).toBe('No shot on the surface within 6.0 m; the nearest is 7.3 m away.');
    expect(sayReason({ code: 'noShots', values: { limit: 6 } }, metric)).toBe(
      'No shot on the surface within 6.0 m.',
    );
  });

  test('one is told in the singular', () => {
    const few = (count: number) => sayReason({ code: 'tooFewShots', values: { count, limit: 4 } }, metric);
    expect(few(1)).toMatch(/^Only 1 shot near it/);
    expect(few(3)).toMatch(/^Only 3 shots near it/);
    const out = (count: number) =>
      sayReason({ code: 'leftOut', values: { count, worst: 0.2, points: 'P4' } }, metric);
    expect(out(1)).toBe('1 shot does not fit and was left out, 200 mm at worst: P4.');
    expect(out(2)).toMatch(/^2 shots do not fit and were left out/);
  });

  test('shots left out are high or low, a nearest stack proud or low, a weak survey has so many shots so far away', () => {
    const out = (count: number, off: number) =>
      sayReason({ code: 'leftOut', values: { count, worst: 0.2, off, points: 'P4' } }, metric);
    expect(out(1, 0.2)).toBe('1 shot does not fit and was left out, 200 mm high: P4.');
    expect(out(2, -0.2)).toBe('2 shots do not fit and were left out, 200 mm low at worst: P4.');
    const nearest = { worst: 0.011, tolerance: 0.006, centre: -0.008, tilt: 0.003 };
    expect(sayReason({ code: 'nearestStack', values: nearest }, metric)).toBe(
      'The nearest stack misses by 11 mm: 8 mm low at its centre, tilted 3 mm off at the edge; the tolerance is 6 mm.',
    );
    // Plans that were stored without these figures are still told.
    expect(sayReason({ code: 'nearestStack', values: { worst: 0.011, tolerance: 0.006 } }, metric)).toBe(
      'The nearest stack misses by 11 mm; the tolerance is 6 mm.',
    );
    const weak = { allowance: 0.008, tolerance: 0.006, shots: 5, sigma: 0.004, nearest: 3.1, reach: 6.8 };
    expect(sayReason({ code: 'surveyTooWeak', values: weak }, metric)).toBe(
      'The survey is good to ±8 mm at the rim from 5 shots of ±4 mm, 3.1 m to 6.8 m away, and the tolerance is 6 mm. Measure again, nearer and with more shots, before a ring is cut.',
    );
    const recorded = { allowance: 0.008, tolerance: 0.006, shots: 5, nearest: 3.1, reach: 6.8 };
    expect(sayReason({ code: 'surveyTooWeak', values: recorded }, metric)).toContain(
      'from 5 shots, 3.1 m to',
    );
    expect(
      sayReason({ code: 'surveyTooWeak', values: { allowance: 0.008, tolerance: 0.006 } }, metric),
    ).toMatch(/^The survey is good to ±8 mm at the rim, and the tolerance is 6 mm\./);
  });

  test('what a word is missing for is told by its own name, and a lift that nobody named as such', () => {
    const say = (code: string, values: Record<string, string | number>) =>
      sayReason({ code, values }, metric);
    expect(say('noSource', { wanted: 'levels' })).toBe('There is no surface to plan from: levels.');
    expect(say('unreachable', { limit: 'stock' })).toBe(
      'No stack of this catalogue reaches the surface: stock.',
    );
    expect(say('noSuchLift', { surface: 'Lane survey', lift: 0 })).toMatch(/and nobody said which\.$/);
  });

  test('a code without words is a programmer’s error', () => {
    expect(() => sayReason({ code: 'whatever', values: {} }, metric)).toThrow(/whatever/);
  });
});
