/** Data sets that the fits are held against, each from its named source. */

/**
 * Delivery time: cases, distance, minutes. Montgomery & Peck, Introduction to Linear Regression Analysis, 1982,
 * p. 116; read in the R package robustbase.
 */
export const delivery: [number, number, number][] = [
  [7, 560, 16.68],
  [3, 220, 11.5],
  [3, 340, 12.03],
  [4, 80, 14.88],
  [6, 150, 13.75],
  [7, 330, 18.11],
  [2, 110, 8],
  [7, 210, 17.83],
  [30, 1460, 79.24],
  [5, 605, 21.5],
  [16, 688, 40.33],
  [10, 215, 21],
  [4, 255, 13.5],
  [6, 462, 19.75],
  [9, 448, 24],
  [10, 776, 29],
  [6, 200, 15.35],
  [7, 132, 19],
  [3, 36, 9.5],
  [17, 770, 35.1],
  [10, 140, 17.9],
  [26, 810, 52.32],
  [9, 450, 18.75],
  [8, 635, 19.83],
  [4, 150, 10.75],
];

/** NIST Statistical Reference Datasets, Pontius: load and deflection of a load cell, two runs. */
export const pontius: [number, number][] = [
  [
    0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001,
    1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
  ],
  [
    0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.983, 1.0915, 1.20004, 1.30818,
    1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
  ],
].flatMap((run) => run.map((y, i): [number, number] => [150_000 * (i + 1), y]));

/** Heart catheterization: height, weight, catheter length. Rousseeuw & Leroy, Robust Regression, 1987; robustbase. */
export const heart: [number, number, number][] = [
  [42.8, 40, 37],
  [63.5, 93.5, 50],
  [37.5, 35.5, 34],
  [39.5, 30, 36],
  [45.5, 52, 43],
  [38.5, 17, 28],
  [43, 38.5, 37],
  [22.5, 8.5, 20],
  [37, 33, 34],
  [23.5, 9.5, 30],
  [33, 21, 38],
  [58, 79, 47],
];

/** Stack loss of an ammonia plant: air flow, water temperature, acid concentration, loss. Brownlee 1965. */
export const stackLoss: [number, number, number, number][] = [
  [80, 27, 89, 42],
  [80, 27, 88, 37],
  [75, 25, 90, 37],
  [62, 24, 87, 28],
  [62, 22, 87, 18],
  [62, 23, 87, 18],
  [62, 24, 93, 19],
  [62, 24, 93, 20],
  [58, 23, 87, 15],
  [58, 18, 80, 14],
  [58, 18, 89, 14],
  [58, 17, 88, 13],
  [58, 18, 82, 11],
  [58, 19, 93, 12],
  [50, 18, 89, 8],
  [50, 18, 86, 7],
  [50, 19, 72, 8],
  [50, 19, 79, 8],
  [50, 20, 80, 9],
  [56, 20, 82, 15],
  [70, 20, 91, 15],
];
