import { fixed } from '../units/format.ts';
import type { TableQuestion } from './checkTable.ts';
import type { VacuumReason } from './judgeVacuum.ts';
import type { VacuumTable } from './types.ts';

type Units = Pick<VacuumTable, 'diameterUnit' | 'depthUnit'>;
type Values = Record<string, number | string>;

interface Tools {
  dia: (key: string) => string;
  deep: (key: string) => string;
  inHg: (key: string) => string;
  time: (key: string) => string;
  text: (key: string) => string;
}

/** As many decimals as the figure has, at most two. */
const plain = (value: number) => fixed(value, 2).replace(/\.?0+$/, '');

const toolsOf = (values: Values, { diameterUnit, depthUnit }: Units): Tools => {
  const number = (key: string) => plain(Number(values[key]));
  return {
    dia: (key) => `${number(key)} ${diameterUnit}`,
    deep: (key) => `${number(key)} ${depthUnit}`,
    inHg: (key) => `${number(key)} inHg`,
    time: (key) => `${number(key)} s`,
    text: (key) => String(values[key]),
  };
};

const headWords: Record<string, string> = {
  frame: 'on the frame',
  topRing: 'on the top ring',
  seat: 'on the seat',
};
const scopeWords: Record<string, string> = { structure: 'the whole structure', chimney: 'the chimney alone' };

const agencyDefined =
  'No published standard tests the chimney alone: this test is the agency’s own definition.';

const reasons: Record<VacuumReason['code'], (t: Tools) => string> = {
  nextDiameter: (t) =>
    `The table has no row for ${t.dia('diameter')}: that of ${t.dia('next')}, the next greater, counts.`,
  overlap: (t) => `Two bands of the table hold this size: the longer time of ${t.time('seconds')} counts.`,
  gap: (t) => `No band of the table holds ${t.deep('depth')}: the longer time of its neighbours counts.`,
  aboveBands: (t) => `The first band begins deeper than ${t.deep('depth')}: its time counts.`,
  diameterUnknown: () => 'The diameter is not known, and the time depends on it.',
  depthUnknown: () => 'The depth is not known, and the time depends on it.',
  diameterPastTable: (t) =>
    `The table ends at ${t.dia('greatest')}; this one has ${t.dia('diameter')}. Ask the engineer before you test.`,
  depthPastTable: (t) =>
    `The table ends at ${t.deep('deepest')}; this one is ${t.deep('depth')} deep. Ask the engineer before you test.`,
  notASize: () => 'A diameter is above 0, a depth not below it.',
  notMeasured: () => 'Start, end and time were not all measured.',
  saidNotTested: () => 'Whoever made it recorded that it was no test.',
  startNotReached: (t) => `It started at ${t.inHg('start')}; the table starts at ${t.inHg('wanted')}.`,
  fellBelow: (t) =>
    `It was at ${t.inHg('end')} after ${t.time('seconds')}; it has to stay above ${t.inHg('limit')} for ${t.time('required')}.`,
  fellTooFar: (t) => `It fell by ${t.inHg('drop')}; the table allows ${t.inHg('allowed')}.`,
  timeShort: (t) =>
    `It was watched for ${t.time('seconds')} of ${t.time('required')}: that says nothing yet.`,
  notLonger: (t) => `The table asks for longer than ${t.time('required')}, and it was just that.`,
  headElsewhere: (t) =>
    `The head sat ${headWords[t.text('head')]}; the table has it ${headWords[t.text('wanted')]}.`,
  frameInPlace: () => 'The frame was in place; the table tests without it.',
  frameMissing: () => 'The frame was not in place; the table tests with it.',
  otherScope: (t) =>
    `Tested was ${scopeWords[t.text('scope')]}; the table is for ${scopeWords[t.text('wanted')]}.`,
  noGauge: () => 'No gauge was named.',
  otherRequired: (t) =>
    `${t.time('recorded')} were noted as required; by the table it is ${t.time('required')}.`,
  agencyDefined: () => agencyDefined,
};

const questions: Record<TableQuestion['code'], (t: Tools) => string> = {
  pressuresOutOfOrder: (t) =>
    `Drawn to ${t.inHg('drawInHg')}, from ${t.inHg('startInHg')} to ${t.inHg('endInHg')}: a test is drawn at least to its start and falls to its end.`,
  bandEmpty: (t) => `The band from ${t.deep('from')} to ${t.deep('to')} holds no depth.`,
  bandsShare: (t) => `Two bands hold ${t.deep('depth')}. Which counts? Until then the longer time.`,
  bandsOverlap: (t) =>
    `Bands overlap from ${t.deep('from')} to ${t.deep('to')}. Which counts? Until then the longer time.`,
  bandsGap: (t) =>
    t.deep('from') === t.deep('to')
      ? `No band holds ${t.deep('from')}. Which counts? Until then the longer time of its neighbours.`
      : `No band holds depths from ${t.deep('from')} to ${t.deep('to')}. Which counts? Until then the longer time of its neighbours.`,
  bandsEnd: (t) => `The bands end at ${t.deep('depth')}: what is deeper has no time and cannot pass.`,
  sameRow: () => 'More than one row holds for the same sizes. Until one is taken out the longer time counts.',
  shorterDeeper: (t) => `From ${t.deep('depth')} on the time is shorter than above it. Is that so printed?`,
  shorterWider: (t) =>
    `At ${t.dia('next')} the longest time is shorter than at ${t.dia('diameter')}. Is that so printed?`,
  someWithoutDiameter: () => 'Some rows name a diameter and some do not: those hold for every one.',
  betweenDiameters: (t) =>
    `Between ${t.dia('diameter')} and ${t.dia('next')} the row of ${t.dia('next')} counts.`,
  agencyDefined: () => agencyDefined,
};

/** One reason of a verdict, or doubt or question of a required time, in the table's units. */
export const sayVacuum = ({ code, values }: VacuumReason, units: Units): string =>
  reasons[code](toolsOf(values, units));

/** One question about a table, with the diameter that it is about. */
export function sayTableQuestion({ code, values }: TableQuestion, units: Units): string {
  const t = toolsOf(values, units);
  const where = 'diameter' in values && !('next' in values) ? `${t.dia('diameter')}: ` : '';
  return where + questions[code](t);
}
