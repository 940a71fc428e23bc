import { basename } from 'node:path';
import { pathToFileURL } from 'node:url';
import { parseArgs } from 'node:util';
import { epsgOfReference, lonLatEpsg } from '#core/crs/statement.ts';
import { understand } from '#core/intake/understand.ts';
import type { Said, Understanding } from '#core/intake/understanding.ts';
import { type Problem, sayProblem } from '#core/problem.ts';
import { findCrs } from '../crs/epsg.ts';
import { sourcesOf } from '../intake/files.ts';
import { crsLookup } from '../intake/lookup.ts';
import { openFiles } from '../intake/readers.ts';
import { Workplace } from '../intake/workplace.ts';
import { Refusal } from './refusal.ts';

const usage = 'usage: npm run -s inspect -- FILE [--crs EPSG:n]';
const mostLines = 5;

/** What an upload of the file would be understood as; nothing is stored. @throws Refusal when nothing was understood */
export async function inspectFile(argv: string[]): Promise<Understanding> {
  const { path, crs } = readArguments(argv);
  const said = crs === undefined ? {} : saidOf(crs);
  const workplace = await Workplace.make();
  try {
    const file = await openFiles(await sources(path), workplace);
    if ('code' in file) throw refusal(path, [file]);
    const understanding = await understand(file, said, crsLookup);
    if ('code' in understanding) throw refusal(path, [understanding, ...file.problems]);
    if (understanding.count === 0) throw refusal(path, understanding.problems);
    return understanding;
  } finally {
    await workplace.remove();
  }
}

function readArguments(argv: string[]): { path: string; crs: string | undefined } {
  try {
    const { values, positionals } = parseArgs({
      args: argv,
      options: { crs: { type: 'string' } },
      allowPositionals: true,
    });
    if (positionals.length === 1) return { path: positionals[0], crs: values.crs };
  } catch (error) {
    throw new Refusal((error as Error).message.split('. ')[0], usage);
  }
  throw new Refusal('give one file', usage);
}

function saidOf(text: string): Said {
  if (epsgOfReference(/^\d+$/.test(text.trim()) ? `EPSG:${text.trim()}` : text) === lonLatEpsg)
    return { lonLat: true };
  const crs = findCrs(text);
  if ('message' in crs) throw new Refusal(`--crs: ${sayProblem(crs)}`);
  return { crs };
}

async function sources(path: string) {
  try {
    return await sourcesOf(path);
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    throw new Refusal(`${path}: ${code === 'ENOENT' ? 'no such file' : message}`);
  }
}

function refusal(path: string, problems: readonly Problem[]): Refusal {
  const different = [...new Set(problems.map((problem) => `${basename(path)}: ${sayProblem(problem)}`))];
  const lines = different.length > mostLines ? different.slice(0, mostLines - 1) : different;
  if (different.length > mostLines) lines.push(`and ${different.length - lines.length} more`);
  return new Refusal(...(lines.length > 0 ? lines : [`${basename(path)}: nothing in it was understood`]));
}

/** Run from the command line; exit 0 when anything was understood, 2 when nothing was. */
export async function main(argv: string[]): Promise<number> {
  try {
    process.stdout.write(`${JSON.stringify(await inspectFile(argv), null, 2)}\n`);
    return 0;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    for (const line of error.lines.slice(0, mostLines)) process.stderr.write(`${line}\n`);
    return 2;
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  process.exitCode = await main(process.argv.slice(2));
}
