/**
 * RGB spaces by their chromaticities, and the matrices between them.
 *
 *   M = P · diag(P⁻¹ w),  P columns (x/y, 1, (1−x−y)/y) of R, G, B;  w white the same way
 *
 * Whites that differ are brought together by Bradford adaptation; makers' and the Academy's prints of camera matrices use
 * CAT02, which is there for comparison. `xyz` is CIE XYZ itself and is taken as adapted to D65: D65 spaces meet it without
 * adaptation, others are adapted to D65 first.
 *
 * Source: [rp177] §3.3 (derivation), [lam1985] (Bradford), [cie159] (CAT02); chromaticities [bt709], [bt601], [bt2020],
 * [rp431-2], [st2113], [st2065-1], [s2014-004]; cameras [sony-slog3], [arri2012], [arri2022], [panasonic-vlog], [canon2020],
 * [red2017], [gen5-2021], [dji2017], [fujifilm-flog2] (the primaries of BT.2020).
 */
import {
  type Chromaticities,
  type Primaries,
  type PrimariesName,
  type Rgb,
  samePrimaries,
} from '../core/index.js'
import { invert3, type Matrix3, multiply3, transform3 } from './matrix3.js'

const D65 = [0.3127, 0.329] as const
const ACES_WHITE = [0.32168, 0.33767] as const

const BT2020: Chromaticities = {
  red: [0.708, 0.292],
  green: [0.17, 0.797],
  blue: [0.131, 0.046],
  white: D65,
}

export const chromaticities: Readonly<Record<Exclude<PrimariesName, 'xyz'>, Chromaticities>> = {
  bt709: { red: [0.64, 0.33], green: [0.3, 0.6], blue: [0.15, 0.06], white: D65 },
  'bt601-625': { red: [0.64, 0.33], green: [0.29, 0.6], blue: [0.15, 0.06], white: D65 },
  'bt601-525': { red: [0.63, 0.34], green: [0.31, 0.595], blue: [0.155, 0.07], white: D65 },
  bt2020: BT2020,
  'p3-d65': { red: [0.68, 0.32], green: [0.265, 0.69], blue: [0.15, 0.06], white: D65 },
  'p3-dci': { red: [0.68, 0.32], green: [0.265, 0.69], blue: [0.15, 0.06], white: [0.314, 0.351] },
  'aces-ap0': { red: [0.7347, 0.2653], green: [0, 1], blue: [0.0001, -0.077], white: ACES_WHITE },
  'aces-ap1': { red: [0.713, 0.293], green: [0.165, 0.83], blue: [0.128, 0.044], white: ACES_WHITE },
  's-gamut3': { red: [0.73, 0.28], green: [0.14, 0.855], blue: [0.1, -0.05], white: D65 },
  's-gamut3-cine': { red: [0.766, 0.275], green: [0.225, 0.8], blue: [0.089, -0.087], white: D65 },
  'arri-wide-gamut-3': { red: [0.684, 0.313], green: [0.221, 0.848], blue: [0.0861, -0.102], white: D65 },
  'arri-wide-gamut-4': {
    red: [0.7347, 0.2653],
    green: [0.1424, 0.8576],
    blue: [0.0991, -0.0308],
    white: D65,
  },
  'v-gamut': { red: [0.73, 0.28], green: [0.165, 0.84], blue: [0.1, -0.03], white: D65 },
  'cinema-gamut': { red: [0.74, 0.27], green: [0.17, 1.14], blue: [0.08, -0.1], white: D65 },
  'red-wide-gamut': {
    red: [0.780308, 0.304253],
    green: [0.121595, 1.493994],
    blue: [0.095612, -0.084589],
    white: D65,
  },
  'gen5-wide-gamut': {
    red: [0.7177215, 0.3171181],
    green: [0.228041, 0.861569],
    blue: [0.1005841, -0.0820452],
    white: [0.312717, 0.3290312],
  },
  'd-gamut': { red: [0.71, 0.31], green: [0.21, 0.88], blue: [0.09, -0.08], white: D65 },
  'f-gamut': BT2020,
}

/** Cone responses in which whites are scaled. */
const cones = {
  bradford: [0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296],
  cat02: [0.7328, 0.4296, -0.1624, -0.7036, 1.6975, 0.0061, 0.003, 0.0136, 0.9834],
} as const satisfies Record<string, Matrix3>
export type AdaptationName = keyof typeof cones

const IDENTITY: Matrix3 = [1, 0, 0, 0, 1, 0, 0, 0, 1]

function xyzOf([x, y]: readonly [number, number]): Rgb {
  return [x / y, 1, (1 - x - y) / y]
}

function chromaticitiesOf(primaries: Exclude<Primaries, 'xyz'>): Chromaticities {
  return typeof primaries === 'string' ? chromaticities[primaries] : primaries
}

/** White of the space as xy; D65 for `xyz`. */
export function whiteOf(primaries: Primaries): readonly [number, number] {
  return primaries === 'xyz' ? D65 : chromaticitiesOf(primaries).white
}

/** Linear RGB to XYZ relative to the space's own white (Y of white = 1), row-major; identity for `xyz`. */
export function rgbToXyz(primaries: Primaries): Matrix3 {
  if (primaries === 'xyz') return IDENTITY
  const c = chromaticitiesOf(primaries)
  const r = xyzOf(c.red)
  const g = xyzOf(c.green)
  const b = xyzOf(c.blue)
  const p: Matrix3 = [r[0], g[0], b[0], r[1], g[1], b[1], r[2], g[2], b[2]]
  const s = transform3(invert3(p), xyzOf(c.white))
  return multiply3(p, [s[0], 0, 0, 0, s[1], 0, 0, 0, s[2]])
}

/** Von Kries adaptation of XYZ from one white (xy) to another in the cones of `by`, row-major. */
export function adaptation(
  from: readonly [number, number],
  to: readonly [number, number],
  by: AdaptationName = 'bradford',
): Matrix3 {
  if (from[0] === to[0] && from[1] === to[1]) return IDENTITY
  const cone = cones[by]
  const a = transform3(cone, xyzOf(from))
  const b = transform3(cone, xyzOf(to))
  const scale: Matrix3 = [b[0] / a[0], 0, 0, 0, b[1] / a[1], 0, 0, 0, b[2] / a[2]]
  return multiply3(invert3(cone), multiply3(scale, cone))
}

/** Linear RGB to linear RGB, row-major; exactly the identity when both are the same. */
export function conversion(from: Primaries, to: Primaries, by?: AdaptationName): Matrix3 {
  if (samePrimaries(from, to)) return IDENTITY
  const adapted = multiply3(adaptation(whiteOf(from), whiteOf(to), by), rgbToXyz(from))
  return multiply3(invert3(rgbToXyz(to)), adapted)
}

/** Weights that make luminance Y of linear RGB: the second row of `rgbToXyz`. */
export function luminanceRow(primaries: Primaries): Rgb {
  const m = rgbToXyz(primaries)
  return [m[3], m[4], m[5]]
}
