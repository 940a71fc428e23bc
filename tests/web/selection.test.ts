import { describe, expect, it } from 'vitest';
import type { CoverRow } from '#shared/cover.ts';
import { errorReach, stationSpan, streetsOf } from '../../web/drawings/unrolled-scale.ts';
import { signedWorstOfRow } from '../../web/figures.ts';
import { readSort, rowsQuery } from '../../web/find/rows.ts';
import { isInRanges } from '../../web/ranges.ts';
import { inStationOrder, matches, toggleFilter } from '../../web/selection.ts';
import { nominalSize, signed, unitsOf } from '../../web/units.ts';
import {
  actionShort,
  offsetShort,
  offsetWords,
  stackCell,
  stackSentence,
  stationText,
} from '../../web/words.ts';

const row = (change: Partial<CoverRow>): CoverRow => ({
  id: 'A-1',
  kind: 'sanitary',
  owner: 'Sewer Division',
  street: 'Long Street',
  stationM: 100,
  offsetM: 2,
  lon: 0,
  lat: 0,
  status: 'raise',
  rimErrorM: -0.0254,
  netBuildupM: 0.1,
  stack: [],
  worstM: 0.002,
  sigmaRimM: 0.001,
  allowance: 'met',
  telescoping: false,
  buildupM: 0.12,
  remainingM: 0.18,
  planStale: false,
  fieldStatus: null,
  crew: null,
  night: null,
  ...change,
});
const inches = unitsOf({ displayUnit: 'in', elevationUnit: 'us-ft' });
const millimetres = unitsOf({ displayUnit: 'mm', elevationUnit: 'm' });
const catalogue = {
  id: 'c',
  name: 'c',
  unit: 'in' as const,
  indexPositions: 0,
  indexFrom: 'road' as const,
  maxRings: 5,
  maxChimneyM: 0.3,
  joint: { baseM: 0.00254, betweenM: 0.00254, topM: 0.00254 },
  rings: [
    { id: 'F3', thinM: 0.0762, thickM: 0.0762, outerDiameterM: 0.86, maxPerStack: 3, cost: null },
    { id: 'T', thinM: 0.0127, thickM: 0.0381, outerDiameterM: 0.86, maxPerStack: 2, cost: null },
  ],
};

describe('the filter', () => {
  it('shows one status on a click, and all again on the next', () => {
    expect(toggleFilter([], 'raise', false)).toEqual(['raise']);
    expect(toggleFilter(['raise', 'lower'], 'raise', false)).toEqual(['raise']);
    expect(toggleFilter(['raise'], 'raise', false)).toEqual([]);
  });

  it('adds and takes away with shift', () => {
    expect(toggleFilter(['raise'], 'lower', true)).toEqual(['raise', 'lower']);
    expect(toggleFilter(['raise', 'lower'], 'raise', true)).toEqual(['lower']);
  });

  it('and the search must both be met', () => {
    expect(matches(row({}), ['raise'], 'long')).toBe(true);
    expect(matches(row({}), ['lower'], 'long')).toBe(false);
    expect(matches(row({}), [], 'water')).toBe(false);
    expect(matches(row({ status: null }), ['raise'], '')).toBe(false);
  });
});

describe('what the server is asked for', () => {
  const asked = {
    filter: ['raise', 'review'],
    search: ' quay ',
    only: { owner: 'Sewer', crew: '' },
    ranges: { buildup: { from: 0.1, below: 0.125 }, rim: { from: 0.004, below: null } },
    sort: '-worst',
  };

  it('is the filter, a blank crew for none, and the order', () => {
    expect(Object.fromEntries(rowsQuery(asked))).toEqual({
      status: 'raise,review',
      q: 'quay',
      owner: 'Sewer',
      crew: '',
      netBuildupFromM: '0.1',
      netBuildupBelowM: '0.125',
      worstFromM: '0.004',
      sort: 'worst',
      direction: 'down',
      limit: '500',
    });
  });

  it('is told of rows that are here as the server tells it', () => {
    const ranges = { buildup: { from: 0.1, below: 0.125 } };
    const at = (netBuildupM: number | null) => isInRanges(row({ netBuildupM }), ranges);
    expect([0.0999, 0.1 - 1e-12, 0.1249, 0.125, null].map(at)).toEqual([false, true, true, false, false]);
    const rim = { rim: { from: null, below: 0.004 } };
    const of = (status: CoverRow['status']) => isInRanges(row({ status, worstM: 0.003 }), rim);
    expect((['raise', 'leave', 'rebuild', null] as const).map(of)).toEqual([true, false, false, false]);
  });

  it('is along the streets where the address asks for an order that there is none of', () => {
    expect(readSort('-mass')).toEqual({ by: 'street', isDown: true });
    expect(readSort(null)).toEqual({ by: 'street', isDown: false });
  });

  it('is what the rows are held to here too', () => {
    const crewless = row({ status: 'raise', owner: 'Sewer', street: 'Quay Lane' });
    expect(matches(crewless, ['raise'], 'quay', { owner: 'Sewer', crew: '' })).toBe(true);
    expect(matches({ ...crewless, crew: 'North' }, ['raise'], 'quay', { crew: '' })).toBe(false);
    expect(matches({ ...crewless, status: null }, ['unplanned'], '', {})).toBe(true);
  });
});

describe('the order of covers', () => {
  const rows = [
    row({ id: 'C', street: 'Short Street', stationM: 5 }),
    row({ id: 'B', stationM: 200, worstM: 0.006 }),
    row({ id: 'A', stationM: 90, worstM: null }),
    row({ id: 'D', street: null, stationM: null }),
  ];

  it('walks the street with most covers first, the chosen one before it, the placeless last', () => {
    expect(inStationOrder(rows, null).map(({ id }) => id)).toEqual(['A', 'B', 'C', 'D']);
    expect(inStationOrder(rows, 'Short Street').map(({ id }) => id)).toEqual(['C', 'A', 'B', 'D']);
  });

  it('counts streets', () => {
    expect(streetsOf(rows)).toEqual([
      { street: 'Long Street', count: 2 },
      { street: 'Short Street', count: 1 },
    ]);
  });
});

describe('the unrolled street', () => {
  it('reaches past the largest rim error to a round number in the unit that people read', () => {
    const covers = [-0.061, 0.01, null].map((rimError, index) => ({
      row: row({}),
      station: index * 100,
      rimError,
    }));
    expect(errorReach(covers, 0.0254)).toBe(3);
    expect(errorReach(covers, 0.001)).toBe(80);
    expect(errorReach([], 0.0254)).toBe(1);
    expect(stationSpan(covers)[0]).toBeLessThan(0);
    expect(stationSpan(covers)[1]).toBeGreaterThan(200);
  });
});

describe('the sign of a row’s worst rim error', () => {
  const stack = [
    { ring: 'F3', azimuthDeg: null },
    { ring: 'T', azimuthDeg: 40 },
  ];
  // 3 + 1 in of rings and three joints of 0.1 in make 4.3 in.
  it('is low where rings and joints fall short of the net buildup', () => {
    expect(signedWorstOfRow(row({ stack, netBuildupM: 4.31 * 0.0254 }), catalogue)).toBe(-0.002);
  });
  it('is proud where they pass it', () => {
    expect(signedWorstOfRow(row({ stack, netBuildupM: 4.29 * 0.0254 }), catalogue)).toBe(0.002);
  });
  it('is that of the rim today where the casting stays', () => {
    expect(signedWorstOfRow(row({ status: 'leave', rimErrorM: -0.003 }), catalogue)).toBe(-0.003);
  });
});

describe('words of the table', () => {
  it('give a raise and a lowering in the heading’s unit', () => {
    expect(actionShort(row({}), inches)).toBe('Raise 1.00');
    expect(actionShort(row({ status: 'lower', rimErrorM: 0.0254 }), millimetres)).toBe('Lower 25');
    expect(actionShort(row({ status: 'remeasure' }), inches)).toBe('not decided');
  });

  it('name the side of the centre line', () => {
    expect(offsetShort(-1.83, inches)).toBe('6 L');
    expect(offsetWords(1.83, inches)).toBe('6 ft right of centre');
    expect(offsetWords(-1.83, millimetres)).toBe('1.8 m left of centre');
    expect(offsetShort(0.01, inches)).toBe('centre');
  });

  it('write stations as plans do', () => {
    expect(stationText(736.9, inches)).toBe('24+17');
    expect(stationText(736.9, millimetres)).toBe('0+736');
  });

  it('list a stack bottom-up by the sizes of its catalogue', () => {
    const stack = [
      { ring: 'F3', azimuthDeg: null },
      { ring: 'T', azimuthDeg: 40 },
    ];
    expect(stackCell(row({ stack }), catalogue).text).toBe('3 · taper');
    expect(stackSentence(stack, catalogue)).toBe('3 in flat, taper on top');
    expect(stackCell(row({ telescoping: true }), catalogue).text).toBe('screw top, no rings');
  });

  it('write sizes as the catalogue does and signs as signs', () => {
    expect([0.0381, 0.00635, 0.0762, 0.00762].map((size) => nominalSize(size, 'in'))).toEqual([
      '1½',
      '¼',
      '3',
      '0.3',
    ]);
    expect(nominalSize(0.0254, 'mm')).toBe('25');
    expect(signed(-0.0033, inches)).toBe('−0.13 in');
    expect(signed(0.0033, inches)).toBe('+0.13 in');
    expect(signed(0.00001, inches)).toBe('0.00 in');
  });
});
