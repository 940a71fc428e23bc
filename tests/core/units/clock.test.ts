import fc from 'fast-check';
import { expect, test } from 'vitest';
import { azimuthOfClock, clockHours, clockText, clockWords, sideWords } from '#core/units/clock.ts';
import { normaliseAzimuth, radians } from '#core/units/slope.ts';

// Common practice, no source: the clock is read from above, 12 up-station, 3 to the right.
test.each([
  [40, 40, 12, '12 o’clock'],
  [130, 40, 3, '3 o’clock'],
  [220, 40, 6, '6 o’clock'],
  [310, 40, 9, '9 o’clock'],
  [55, 40, 0.5, '12:30'],
  [175, 40, 4.5, '4:30'],
  [39, 40, 12, '12 o’clock'],
  [25, 40, 11.5, '11:30'],
])('azimuth %f on a road of bearing %f is %f', (azimuth, bearing, hours, text) => {
  expect(clockHours(radians(azimuth), radians(bearing))).toBe(hours);
  expect(clockText(hours)).toBe(text);
});

test('a thin side at 186.3 degrees on a bearing of 40 points to 5 o’clock, toward the curb right of the centre line', () => {
  expect(clockWords(radians(186.3), radians(40), 2.4)).toBe('toward the curb, 5 o’clock looking up-station');
  expect(clockWords(radians(186.3), radians(40), -2.4)).toBe(
    'toward the centre line, 5 o’clock looking up-station',
  );
  expect(clockWords(radians(186.3), radians(40))).toBe('to the right, 5 o’clock looking up-station');
});

test.each([
  [12, null, 'up-station'],
  [0.5, 3, 'up-station'],
  [11.5, 3, 'up-station'],
  [6, 3, 'down-station'],
  [5.5, 3, 'down-station'],
  [9, null, 'to the left'],
  [9, 0, 'to the left'],
  [3, 0, 'to the right'],
  [9, 3, 'toward the centre line'],
  [9, -3, 'toward the curb'],
  [3, 3, 'toward the curb'],
])('%f o’clock with offset %s is %s', (hours, offset, words) => {
  expect(sideWords(hours, offset)).toBe(words);
});

test('a clock hour and back is the same half hour on any road', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 24 }),
      fc.double({ min: -10, max: 10, noNaN: true }),
      (half, bearing) => {
        const azimuth = azimuthOfClock(half / 2, bearing);
        expect(azimuth).toBe(normaliseAzimuth(azimuth));
        expect(clockHours(azimuth, bearing)).toBe(half / 2);
      },
    ),
  );
});
