/**
 * `npm run bench [-- NAME …] [--json] [--rows=N]`: how fast the computation is on this machine. Every figure stands beside a
 * plain way of doing the same work in the same run; the ratio travels from machine to machine, the times do not.
 */
import { cpus } from 'node:os';
import { cityFigures } from './city/figures.ts';
import { holeFigures } from './hole.ts';
import { importFigures } from './importShots.ts';
import { landXmlCases } from './landXmlSurface.ts';
import { planCases } from './planCovers.ts';
import { pointFileCases } from './pointFile.ts';
import { stackCases } from './stackSolve.ts';
import type { BenchCase, Figure } from './types.ts';

const groups: Record<string, () => BenchCase[]> = {
  stack: stackCases,
  plan: planCases,
  points: pointFileCases,
  landxml: landXmlCases,
};

/** Groups that take their own figures, since they drive a whole server. */
const systems: Record<string, (args: readonly string[]) => Promise<Figure[]>> = {
  import: importFigures,
  city: cityFigures,
  hole: holeFigures,
};

/** Best of several rounds: the one least disturbed by whatever else the machine does. */
async function fastest(work: BenchCase['work'], rounds: number): Promise<number> {
  let best = Infinity;
  for (let i = 0; i < rounds; i++) {
    const start = performance.now();
    await work();
    best = Math.min(best, performance.now() - start);
  }
  return best / 1000;
}

async function measure({ name, count, unit, work, plain, aim }: BenchCase): Promise<Figure> {
  const seconds = await fastest(work, 5);
  const plainSeconds = ((await fastest(plain.work, 3)) / plain.count) * count;
  return {
    name,
    perSecond: count / seconds,
    microseconds: (1e6 * seconds) / count,
    unit,
    beside: plain.name,
    ratio: plainSeconds / seconds,
    aim,
  };
}

const asked = process.argv.slice(2).filter((a) => !a.startsWith('--'));
const unknown = asked.filter((a) => !Object.hasOwn(groups, a) && !Object.hasOwn(systems, a));
if (unknown.length > 0) {
  process.stderr.write(
    `no benchmark ${unknown.join(', ')}; there are ${[...Object.keys(groups), ...Object.keys(systems)].join(', ')}\n`,
  );
  process.exit(2);
}
const machine = { cpu: cpus()[0]?.model ?? 'unknown', cores: cpus().length, node: process.version };
const figures: Figure[] = [];
for (const [name, cases] of Object.entries(groups)) {
  if (asked.length > 0 && !asked.includes(name)) continue;
  for (const one of cases()) figures.push(await measure(one));
}
for (const [name, take] of Object.entries(systems)) {
  if (asked.length === 0 || asked.includes(name)) figures.push(...(await take(process.argv)));
}
if (process.argv.includes('--json')) {
  process.stdout.write(`${JSON.stringify({ machine, figures }, null, 2)}\n`);
} else {
  process.stdout.write(`${machine.cpu}, ${machine.cores} cores, Node ${machine.node}\n`);
  for (const f of figures) {
    const speed = `${Math.round(f.perSecond).toLocaleString('en')} ${f.unit}/s`;
    const each = `${f.microseconds.toFixed(2)} µs each`;
    process.stdout.write(
      `${f.name.padEnd(44)} ${speed.padStart(22)}  ${each.padStart(16)}  ${f.ratio.toFixed(2)} x ${f.beside}${f.aim ? `  (aim: ${f.aim})` : ''}\n`,
    );
  }
}
