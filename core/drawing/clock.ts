/** Hour 0 < h <= 12 at an azimuth, 12 being up-station; both azimuths clockwise from grid north, radians. */
export function hourOf(azimuth: number, bearing: number): number {
  const turn = ((((azimuth - bearing) / (2 * Math.PI)) % 1) + 1) % 1;
  const hour = turn * 12;
  return hour < 1e-9 ? 12 : hour;
}

/** Unit vector on the clock's face in screen axes (x right, y down) for an hour. */
export function handOf(hour: number): readonly [x: number, y: number] {
  const angle = (hour / 12) * 2 * Math.PI;
  return [Math.sin(angle), -Math.cos(angle)];
}

/** The side on which the curb is drawn; a cover right of the centre line has it on the right. */
export function curbSideOf(offset: number | null): 'left' | 'right' | null {
  if (offset === null || offset === 0) return null;
  return offset > 0 ? 'right' : 'left';
}

/**
 * Outline of a crescent: a circle with a round hole pushed toward the thin side. It is a sign, not a measure.
 * The path is drawn with the even-odd rule.
 */
export function crescentPath(outer: number, inner: number, thickHour: number): string {
  const [x, y] = handOf(thickHour);
  const push = (outer - inner) * 0.82;
  return circlePath(0, 0, outer) + circlePath(-x * push, -y * push, inner);
}

function circlePath(x: number, y: number, radius: number): string {
  const r = radius.toFixed(2);
  return `M${(x - radius).toFixed(2)} ${y.toFixed(2)}a${r} ${r} 0 1 0 ${(2 * radius).toFixed(2)} 0a${r} ${r} 0 1 0 ${(-2 * radius).toFixed(2)} 0Z`;
}
