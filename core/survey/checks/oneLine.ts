import type { CheckShot, Finding } from './types.ts';

/** Farther from the line, as a share of its length, than positions written to the millimetre scatter. */
const straight = 1e-6;

/** Three or more shots on one straight line, or at one place, span no surface. */
export function findOneLine(shots: readonly CheckShot[]): Finding[] {
  if (shots.length < 3) return [];
  const [origin] = shots;
  let far = origin;
  let length = 0;
  for (const shot of shots) {
    const away = Math.hypot(shot.east - origin.east, shot.north - origin.north);
    if (away <= length) continue;
    length = away;
    far = shot;
  }
  const [dx, dy] = [far.east - origin.east, far.north - origin.north];
  for (const { east, north } of shots) {
    const across = Math.abs(dx * (north - origin.north) - dy * (east - origin.east));
    if (across > straight * length * length) return [];
  }
  return [
    {
      code: 'oneLine',
      points: [],
      rows: [],
      values: [],
      message: 'these points do not make a surface',
      rule: 'they lie on one straight line or at one place; a surface needs shots on both sides',
      setAside: false,
    },
  ];
}
