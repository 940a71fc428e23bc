import type { PlanningStatus } from '#core/plan/types.ts';

/** What the field makes of a cover once it has been planned. */
export const fieldStatuses = ['planned', 'plated', 'stacked', 'set', 'offGrade', 'accepted'] as const;
export type FieldStatus = (typeof fieldStatuses)[number];
export type StatusCode = PlanningStatus | FieldStatus;
export type StatusGroup = 'Find out' | 'Decide' | 'Do' | 'Check';

/** Shape of the symbol; with the fill it says the status twice, so that either alone is enough. */
export type StatusShape =
  | 'dashedRing'
  | 'target'
  | 'diamondMark'
  | 'courses'
  | 'triangleDown'
  | 'triangleUp'
  | 'pill'
  | 'discDot'
  | 'squareRing'
  | 'discHalf'
  | 'discFull'
  | 'cross'
  | 'discTick';

export interface Status {
  code: StatusCode;
  word: string;
  group: StatusGroup;
  /** sRGB fill of the symbol, or of its line where the shape is open. */
  fill: string;
  /** Published colour set that the fill comes from. */
  palette: string;
  shape: StatusShape;
  description: string;
}

/** The one list of statuses, in the order in which a cover passes through them. */
export const statuses: readonly Status[] = [
  {
    code: 'unsurveyed',
    word: 'Unsurveyed',
    group: 'Find out',
    fill: '#737373',
    palette: 'ColorBrewer Greys',
    shape: 'dashedRing',
    description: 'No shots near enough, or none that surround it: the finished grade is not known here.',
  },
  {
    code: 'remeasure',
    word: 'Remeasure',
    group: 'Find out',
    fill: '#56B4E9',
    palette: 'Okabe-Ito',
    shape: 'target',
    description:
      'The survey alone is less certain than the tolerance, or the seat is not known: measure before a ring is cut.',
  },
  {
    code: 'review',
    word: 'Review',
    group: 'Find out',
    fill: '#F0E442',
    palette: 'Okabe-Ito',
    shape: 'diamondMark',
    description: 'Somebody has to look: the figures are there, the decision is not.',
  },
  {
    code: 'rebuild',
    word: 'Rebuild',
    group: 'Decide',
    fill: '#543005',
    palette: 'ColorBrewer BrBG',
    shape: 'courses',
    description: 'The chimney is unsound or would pass its greatest height: take it down and build it new.',
  },
  {
    code: 'lower',
    word: 'Lower',
    group: 'Decide',
    fill: '#0072B2',
    palette: 'Okabe-Ito',
    shape: 'triangleDown',
    description: 'The rim stands above the finished grade or in the way of the mill.',
  },
  {
    code: 'raise',
    word: 'Raise',
    group: 'Decide',
    fill: '#E69F00',
    palette: 'Okabe-Ito',
    shape: 'triangleUp',
    description: 'The rim stands below the finished grade; a stack of rings brings it flush.',
  },
  {
    code: 'leave',
    word: 'Leave',
    group: 'Decide',
    fill: '#BDBDBD',
    palette: 'ColorBrewer Greys',
    shape: 'pill',
    description: 'The rim is within tolerance all round as it stands.',
  },
  {
    code: 'planned',
    word: 'Planned',
    group: 'Do',
    fill: '#FFFFCC',
    palette: 'ColorBrewer YlGn',
    shape: 'discDot',
    description: 'The plan was sent to the crew.',
  },
  {
    code: 'plated',
    word: 'Plated',
    group: 'Do',
    fill: '#000000',
    palette: 'Okabe-Ito',
    shape: 'squareRing',
    description: 'The frame is out and a steel plate covers the opening until it is raised again.',
  },
  {
    code: 'stacked',
    word: 'Stacked',
    group: 'Do',
    fill: '#ADDD8E',
    palette: 'ColorBrewer YlGn',
    shape: 'discHalf',
    description: 'The rings stand as planned; the frame is not bedded yet.',
  },
  {
    code: 'set',
    word: 'Set',
    group: 'Do',
    fill: '#009E73',
    palette: 'Okabe-Ito',
    shape: 'discFull',
    description: 'Rings and frame are bedded; the rim waits to be checked.',
  },
  {
    code: 'offGrade',
    word: 'Off grade',
    group: 'Check',
    fill: '#D55E00',
    palette: 'Okabe-Ito',
    shape: 'cross',
    description: 'The rim as set is out of tolerance.',
  },
  {
    code: 'accepted',
    word: 'Accepted',
    group: 'Check',
    fill: '#006837',
    palette: 'ColorBrewer YlGn',
    shape: 'discTick',
    description: 'Checked and accepted: the register carries the new rim.',
  },
];

export const statusGroups: readonly StatusGroup[] = ['Find out', 'Decide', 'Do', 'Check'];

export const statusCodes: readonly StatusCode[] = statuses.map((status) => status.code);

const byCode = new Map(statuses.map((status) => [status.code, status]));

/** Throws a RangeError for a code that is not in the list: that is a fault of the program. */
export function statusOf(code: string): Status {
  const status = byCode.get(code as StatusCode);
  if (!status) throw new RangeError(`Unknown status "${code}"`);
  return status;
}
