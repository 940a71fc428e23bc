import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { runPlan } from '../../../server/cli/plan.ts';
import { type CorridorOptions, makeCorridor } from '../../helpers/corridor.ts';
import { pool, type Score, scoreCorridor } from '../../helpers/score.ts';

type Family = Omit<CorridorOptions, 'seed' | 'system'>;

/** Invented overlays of every kind; 30 covers each. */
const families: Record<string, Family> = {
  'crowned and straight': {},
  'with 2 % of the shots off by 0.1 to 0.3 m': { bustShare: 0.02 },
  'curved to the right': { radius: 180 },
  'curved to the left': { radius: -120 },
  'superelevated with a coded centre line': { section: 'tilted', around: 'allRound' },
  'superelevated and uncoded': { section: 'tilted', around: 'allRound', coded: false },
  'superelevated, covers on the centre line': { section: 'tilted', around: 'allRound', offsets: [0.01, 0.3] },
  'crowned and uncoded': { coded: false },
  'crowned and uncoded, shots all round': { coded: false, around: 'allRound' },
  'crowned, shots all round': { around: 'allRound' },
  'with gutters': { gutters: true },
  'with uncoded gutters': { gutters: true, coded: false, offsets: [3, 4.4] },
  'shot by total station at 5 mm': { sigma: 0.005 },
};

const score = (family: Family, seeds: number[], policy: Parameters<typeof scoreCorridor>[1] = {}): Score =>
  pool(
    seeds.flatMap((seed) =>
      (['us', 'metric'] as const).map((system) =>
        scoreCorridor(makeCorridor({ covers: 30, ...family, system, seed }), policy),
      ),
    ),
  );

const share = (part: number, whole: number) => part / whole;

describe('corridors with a known true surface', () => {
  const all: Score[] = [];

  test.each(Object.entries(families))(
    '%s: nearly all that can be reached are served, and stated truly',
    (_, family) => {
      const scored = score(family, [31, 32]);
      all.push(scored);
      expect(scored).toMatchObject({ covers: 120, claimWrong: 0, illegal: 0 });
      expect(share(scored.served, scored.reachable)).toBeGreaterThanOrEqual(0.94);
      // One of 120 may fall outside two sigmas.
      expect(scored.silentlyWrong).toBeLessThanOrEqual(1);
      expect(scored.flagged).toBeLessThanOrEqual(scored.covers - scored.served);
    },
  );

  test('pooled, 98 % of the reachable are served and at most 0.6 % are silently wrong', () => {
    const total = pool(all);
    expect(total.covers).toBe(120 * Object.keys(families).length);
    expect(share(total.served, total.reachable)).toBeGreaterThanOrEqual(0.98);
    expect(share(total.silentlyWrong, total.covers)).toBeLessThanOrEqual(0.006);
  });

  const sharp = [
    { radius: 80, sectionEvery: 22 },
    { radius: -120, sectionEvery: 25 },
    { radius: 60, sectionEvery: 20 },
  ];
  test.each(sharp)('a crown coded every $sectionEvery m on a radius of $radius m is where it is', (curve) => {
    const beside = score({ ...curve, around: 'allRound', offsets: [0.4, 1.5] }, [1, 2]);
    expect(beside.silentlyWrong).toBe(0);
    expect(share(beside.served, beside.reachable)).toBeGreaterThanOrEqual(0.9);
    const under = score({ ...curve, around: 'allRound', offsets: [0, 0.3] }, [1, 2]);
    expect(under.silentlyWrong).toBe(0);
    expect(under.flagged).toBe(under.covers);
  });

  test('a cover beside an uncoded crown is served or flagged, three in four served', () => {
    const scored = score({ offsets: [0.4, 1.2], around: 'allRound', coded: false }, [31, 32]);
    expect(share(scored.served, scored.reachable)).toBeGreaterThanOrEqual(0.75);
    expect(scored).toMatchObject({ silentlyWrong: 0, claimWrong: 0, illegal: 0 });
  });

  test('a cover over a coded crown is reviewed, and one just beside it served', () => {
    const over = score({ offsets: [0.02, 0.25], around: 'allRound' }, [31]);
    expect(over).toMatchObject({ flagged: over.covers, silentlyWrong: 0 });
    const beside = score({ offsets: [0.5, 1], around: 'allRound' }, [31]);
    expect(share(beside.served, beside.reachable)).toBeGreaterThanOrEqual(0.95);
  });

  test('from shots of 20 mm nothing is cut', () => {
    const scored = score({ sigma: 0.02 }, [31, 32]);
    expect(scored).toMatchObject({ cut: 0, remeasure: scored.covers });
  });

  const some = ['crowned and straight', 'curved to the left', 'superelevated and uncoded', 'with gutters'];

  test.each(some)('%s: no stack at all is nearer than the one planned as closest', (name) => {
    const scored = score(families[name], [33], { objective: 'closest' });
    expect(scored).toMatchObject({ worse: 0, claimWrong: 0, illegal: 0 });
    expect(share(scored.served, scored.reachable)).toBeGreaterThanOrEqual(0.9);
  });

  test.each(some)('%s: with the allowance off no stack within the tolerance has fewer rings', (name) => {
    const scored = score(families[name], [33], { shotSigma: 0 });
    expect(scored).toMatchObject({ worse: 0, claimWrong: 0, illegal: 0, remeasure: 0 });
  });
});

/** Corridors and a scorer kept beside the repository; without them these tests are skipped, and shown as such. */
const beside = new URL('../../../../shared/corridors/', import.meta.url);

describe.skipIf(!existsSync(beside))('corridors and scorer from beside the repository', () => {
  const plan = async (name: string, more: string[]) => {
    const at = (file: string) => new URL(`${name}/${file}`, beside).pathname;
    const { crs } = JSON.parse(readFileSync(at('truth.json'), 'utf8')) as { crs: string };
    const files = [
      '--structures',
      at('structures.csv'),
      '--rings',
      at('rings.json'),
      '--shots',
      at('shots.csv'),
    ];
    const { collection } = await runPlan([...files, '--crs', crs, ...more]);
    return {
      folder: new URL(name, beside).pathname,
      features: (collection as { features: unknown[] }).features,
    };
  };
  const names = ['us', 'metric', 'busts'];

  test('its own scorer finds the plans served, legal and truly stated', { timeout: 60_000 }, async () => {
    const scorer = await import(new URL('score.mjs', beside).href);
    const total = { reachable: 0, served: 0, silentlyWrong: 0, covers: 0 };
    for (const name of names) {
      const { folder, features } = await plan(name, []);
      const result = scorer.evaluate(folder, features, 'fewest');
      expect(result).toMatchObject({ claimWrong: 0, illegal: 0, missing: 0 });
      for (const key of Object.keys(total) as (keyof typeof total)[]) total[key] += result[key];
    }
    expect(share(total.served, total.reachable)).toBeGreaterThanOrEqual(0.97);
    expect(share(total.silentlyWrong, total.covers)).toBeLessThanOrEqual(0.006);
  });

  test.each([
    ['closest', ['--objective', 'closest']],
    ['fewest', ['--shot-sigma', '0mm']],
  ])('its exhaustive search beats no plan for %s', { timeout: 60_000 }, async (objective, more) => {
    const scorer = await import(new URL('score.mjs', beside).href);
    for (const name of names) {
      const { folder, features } = await plan(name, more);
      expect(scorer.evaluate(folder, features, objective)).toMatchObject({
        worse: 0,
        claimWrong: 0,
        illegal: 0,
      });
    }
  });
});
