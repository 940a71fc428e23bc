import { CodeCounter } from '../codes.ts';
import { type CheckShot, type Finding, listNames, nameOf } from './types.ts';

/** Words for a satellite solution whose ambiguities are not fixed; 5 is the quality that NMEA 0183 GGA gives it. */
const floatWords = /(^|[^a-z])(float|flt)([^a-z]|$)/i;

/** Shots whose code or solution column says that the receiver had no fixed solution: not for a final surface. */
export function findFloatShots(shots: readonly CheckShot[]): Finding[] {
  const marked = shots.filter(
    ({ code, fix = '' }) => floatWords.test(code) || floatWords.test(fix) || fix.trim() === '5',
  );
  if (marked.length === 0) return [];
  return [
    {
      code: 'floatSolution',
      points: marked.map(nameOf),
      rows: marked.map(({ row }) => row),
      values: [],
      message: `${marked.length} of ${shots.length} shots ${marked.length === 1 ? 'is' : 'are'} marked as float: ${listNames(marked.map(nameOf))}`,
      rule: 'a float solution can be decimetres off; it is kept apart from what rings are cut from',
      setAside: true,
    },
  ];
}

/** Shots of more than one survey date or surface in one set: one surface cannot be both before and after milling. */
export function findMixedEpochs(shots: readonly CheckShot[]): Finding[] {
  const byEpoch = new Map<string, CheckShot[]>();
  for (const shot of shots) {
    const epoch = dayOf(shot.epoch ?? '');
    if (epoch === '') continue;
    const others = byEpoch.get(epoch);
    if (others) others.push(shot);
    else byEpoch.set(epoch, [shot]);
  }
  if (byEpoch.size < 2) return [];
  const groups = [...byEpoch].sort((a, b) => b[1].length - a[1].length);
  const others = groups.slice(1).flatMap(([, some]) => some);
  return [
    {
      code: 'mixedEpochs',
      points: others.map(nameOf),
      rows: others.map(({ row }) => row),
      values: [],
      message: `shots of ${groups.length} dates or surfaces: ${listNames(groups.map(([epoch, some]) => `${epoch} x ${some.length}`))}`,
      rule: 'a surface is built from shots of one epoch; say which to use',
      setAside: false,
    },
  ];
}

/** A time of day does not make another survey. */
function dayOf(epoch: string): string {
  return epoch.trim().replace(/[T ]\d{1,2}:\d{2}.*$/, '');
}

/** Codes that the code list does not have; they count as shots on the surface until somebody says otherwise. */
export function findUnknownCodes(shots: readonly CheckShot[]): Finding[] {
  const counter = new CodeCounter();
  for (const { code } of shots) counter.count(code);
  const unknown = counter.list().filter(({ known, code }) => !known && code !== '');
  if (unknown.length === 0) return [];
  const names = unknown.map(({ code, count }) => `${code} x ${count}`);
  return [
    {
      code: 'unknownCodes',
      points: [],
      rows: [],
      values: [],
      message: `codes that the code list does not have: ${listNames(names, 12)}`,
      rule: 'they count as shots on the surface until the code list says otherwise',
      setAside: false,
    },
  ];
}
