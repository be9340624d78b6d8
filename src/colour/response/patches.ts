/**
 * The 24 patches of the common colour chart, row by row: CIELAB under D50, 2° observer, as the maker published them
 * for charts made from November 2014 on; earlier charts differ by up to 2 ΔE, their white by 0.05 stop. From memory,
 * and equal to a printed copy. A chart's own measured values are better where they are known.
 */
import type { Rgb } from '../../core/index.js'

/** L*, a*, b* of 24 patches; the last six are the greys, white first. */
export const chartPatches: readonly Rgb[] = [
  [37.54, 14.37, 14.92],
  [64.66, 19.27, 17.5],
  [49.32, -3.82, -22.54],
  [43.46, -12.74, 22.72],
  [54.94, 9.61, -24.79],
  [70.48, -32.26, -0.37],
  [62.73, 35.83, 56.5],
  [39.43, 10.75, -45.17],
  [50.57, 48.64, 16.67],
  [30.1, 22.54, -20.87],
  [71.77, -24.13, 58.19],
  [71.51, 18.24, 67.37],
  [28.37, 15.42, -49.8],
  [54.38, -39.72, 32.27],
  [42.43, 51.05, 28.62],
  [81.8, 2.67, 80.41],
  [50.63, 51.28, -14.12],
  [49.57, -29.71, -28.32],
  [95.19, -1.03, 2.93],
  [81.29, -0.57, 0.44],
  [66.89, -0.75, -0.06],
  [50.76, -0.13, 0.14],
  [35.63, -0.46, -0.48],
  [20.64, 0.07, -0.46],
]
