/** Colour measures for the tests of the status table: sRGB to CIELAB, CIEDE2000, dichromacy. */

export type Triple = readonly [number, number, number];

/** `#RRGGBB` to linear light, 0 to 1 (IEC 61966-2-1). */
export function linearOf(hex: string): Triple {
  const channel = (at: number) => {
    const value = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  return [channel(1), channel(3), channel(5)];
}

export const luminanceOf = ([r, g, b]: Triple) => 0.2126 * r + 0.7152 * g + 0.0722 * b;

/** WCAG 2.2 contrast ratio of two sRGB colours. */
export function contrastOf(one: string, two: string): number {
  const [dark, light] = [one, two].map((hex) => luminanceOf(linearOf(hex))).sort((a, b) => a - b);
  return (light + 0.05) / (dark + 0.05);
}

/** CIELAB of linear sRGB under D65 (CIE 15). */
export function labOf([r, g, b]: Triple): Triple {
  const x = (0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / 0.95047;
  const y = 0.2126729 * r + 0.7151522 * g + 0.072175 * b;
  const z = (0.0193339 * r + 0.119192 * g + 0.9503041 * b) / 1.08883;
  const f = (t: number) => (t > 216 / 24389 ? Math.cbrt(t) : ((24389 / 27) * t + 16) / 116);
  return [116 * f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))];
}

/** Colour difference CIEDE2000, all weights 1 (Sharma, Wu and Dalal 2005, eqs 2 to 22). */
export function ciede2000([l1, a1, b1]: Triple, [l2, a2, b2]: Triple): number {
  const radians = Math.PI / 180;
  const meanChroma = (Math.hypot(a1, b1) + Math.hypot(a2, b2)) / 2;
  const g = 0.5 * (1 - Math.sqrt(meanChroma ** 7 / (meanChroma ** 7 + 25 ** 7)));
  const [p1, p2] = [a1 * (1 + g), a2 * (1 + g)];
  const [c1, c2] = [Math.hypot(p1, b1), Math.hypot(p2, b2)];
  const hue = (a: number, b: number) => (a === 0 && b === 0 ? 0 : (Math.atan2(b, a) / radians + 360) % 360);
  const [h1, h2] = [hue(p1, b1), hue(p2, b2)];
  const isGrey = c1 * c2 === 0;
  let turn = isGrey ? 0 : h2 - h1;
  if (turn > 180) turn -= 360;
  if (turn < -180) turn += 360;
  const dl = l2 - l1;
  const dc = c2 - c1;
  const dh = 2 * Math.sqrt(c1 * c2) * Math.sin((turn / 2) * radians);
  const l = (l1 + l2) / 2;
  const c = (c1 + c2) / 2;
  let h = h1 + h2;
  if (!isGrey) {
    if (Math.abs(h1 - h2) <= 180) h /= 2;
    else h = h < 360 ? (h + 360) / 2 : (h - 360) / 2;
  }
  const cos = (angle: number) => Math.cos(angle * radians);
  const t = 1 - 0.17 * cos(h - 30) + 0.24 * cos(2 * h) + 0.32 * cos(3 * h + 6) - 0.2 * cos(4 * h - 63);
  const sl = 1 + (0.015 * (l - 50) ** 2) / Math.sqrt(20 + (l - 50) ** 2);
  const sc = 1 + 0.045 * c;
  const sh = 1 + 0.015 * c * t;
  const rotation =
    -Math.sin(60 * Math.exp(-(((h - 275) / 25) ** 2)) * radians) * 2 * Math.sqrt(c ** 7 / (c ** 7 + 25 ** 7));
  return Math.sqrt((dl / sl) ** 2 + (dc / sc) ** 2 + (dh / sh) ** 2 + rotation * (dc / sc) * (dh / sh));
}

/** Machado, Oliveira and Fernandes 2009, severity 1, on linear sRGB. */
export const dichromacy: Record<'protan' | 'deutan' | 'tritan', readonly Triple[]> = {
  protan: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deutan: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritan: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
};

/** A colour as somebody with that dichromacy sees it, kept inside the screen's gamut. */
export function seenBy(rows: readonly Triple[], colour: Triple): Triple {
  const row = (at: number) => {
    const value = rows[at][0] * colour[0] + rows[at][1] * colour[1] + rows[at][2] * colour[2];
    return Math.min(1, Math.max(0, value));
  };
  return [row(0), row(1), row(2)];
}

export function greyOf(colour: Triple): Triple {
  const y = luminanceOf(colour);
  return [y, y, y];
}
