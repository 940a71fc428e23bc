import { describe, expect, test } from 'vitest';
import { CodeCounter, readCode } from '#core/survey/codes.ts';

describe('readCode', () => {
  // Common practice, no source: CL centre line, EP edge of pavement, GU and FL gutter, MH and RIM rim.
  test.each([
    ['CL', 'CL', 'crown'],
    ['cl1', 'CL', 'crown'],
    ['CL-2', 'CL', 'crown'],
    ['EP', 'EP', 'edge'],
    ['EP-2', 'EP', 'edge'],
    ['EP12A', 'EP', 'edge'],
    ['Ep.3 LT', 'EP', 'edge'],
    ['GU', 'GU', 'gutter'],
    ['FL_4', 'FL', 'gutter'],
    ['MH, RIM, 24"', 'MH', 'rim'],
    ['RIM', 'RIM', 'rim'],
    ['SEAT 3', 'SEAT', 'seat'],
  ])('"%s" is %s, %s', (text, code, role) => {
    expect(readCode(text)).toEqual({ code, role, known: true });
  });

  test.each([
    ['', ''],
    ['  ', ''],
    ['FG', 'FG'],
    ['clean', 'CLEAN'],
    ['MHX', 'MHX'],
    ['101', '101'],
    ['FG-CL', 'FG-CL'],
    ['constructor', 'CONSTRUCTOR'],
  ])('"%s" is not in the list, so a shot on the surface', (text, code) => {
    expect(readCode(text)).toEqual({ code, role: 'surface', known: false });
  });
});

test('codes are counted under one name each, most frequent first', () => {
  const counter = new CodeCounter();
  for (const description of ['FG', 'EP1', 'EP2', 'EP1', 'cl', '', 'FG', 'EP', 'AA'])
    counter.count(description);
  expect(counter.list()).toEqual([
    { code: 'EP', count: 4, role: 'edge', known: true },
    { code: 'FG', count: 2, role: 'surface', known: false },
    { code: '', count: 1, role: 'surface', known: false },
    { code: 'AA', count: 1, role: 'surface', known: false },
    { code: 'CL', count: 1, role: 'crown', known: true },
  ]);
});
