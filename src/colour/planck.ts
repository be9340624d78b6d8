/**
 * Colour of a black body, as seen by the CIE 1931 2° observer.
 *
 *   M(λ, T) ∝ λ⁻⁵ / (e^(c₂/(λT)) − 1),  X = Σ M·x̄, Y = Σ M·ȳ, Z = Σ M·z̄ over 380…780 nm in steps of 10 nm
 *
 *   T   temperature                    K     1000 to 20000
 *   c₂  second radiation constant      m·K   0.014388
 *
 * The light is not adapted: 6500 K comes out near the white of a D65 space, and 1900 K as the orange that a
 * D65-balanced camera records. Chromaticity agrees with finer integration to 2e-4.
 *
 * Source: [planck1901], [cie015].
 * @example 2856 K → xy 0.4476, 0.4075
 */
import { exp, type Primaries, pow, type Rgb } from '../core/index.js'
import { transform3 } from './matrix3.js'
import { OBSERVER_FIRST, OBSERVER_STEP, observer } from './observer.js'
import { conversion, luminanceRow } from './primaries.js'

const C2 = 1.4388e7 // nm·K
const COLDEST = 1000
const HOTTEST = 20000

function planckXyz(kelvin: number): Rgb {
  let x = 0
  let y = 0
  let z = 0
  for (let i = 0; i < observer.length; i++) {
    const [bx, by, bz] = observer[i] as readonly [number, number, number]
    const nm = OBSERVER_FIRST + OBSERVER_STEP * i
    const power = pow(560 / nm, 5) / (exp(C2 / (nm * kelvin)) - 1)
    x += power * bx
    y += power * by
    z += power * bz
  }
  return [x / y, 1, z / y]
}

/** Chromaticity x, y of a black body of `kelvin`. */
export function planckXy(kelvin: number): readonly [number, number] {
  const [x, y, z] = planckXyz(kelvin)
  return [x / (x + y + z), y / (x + y + z)]
}

/**
 * Linear RGB of a black body, luminance 1. Below about 1900 K its blue lies outside BT.709: a negative channel is
 * set to 0 (the nearest colour that a camera of those primaries can hold) and the luminance brought back to 1.
 */
export function planckRgb(kelvin: number, primaries: Primaries): Rgb {
  const [r, g, b] = transform3(conversion('xyz', primaries), planckXyz(kelvin)).map((v) =>
    Math.max(v, 0),
  ) as [number, number, number]
  const row = luminanceRow(primaries)
  const luminance = row[0] * r + row[1] * g + row[2] * b
  return [r / luminance, g / luminance, b / luminance]
}

/**
 * Temperature of the black body whose ratio of two channels is that of the linear colour `rgb`: bisection over the locus,
 * held to 1000…20000 K. By default green to red, since blue leaves the gamut first; blue to green serves where red is
 * clipped. NaN without light in the two.
 */
export function temperatureOf(
  rgb: Rgb,
  primaries: Primaries,
  by: 'green-red' | 'blue-green' = 'green-red',
): number {
  const [low, high] = by === 'green-red' ? ([0, 1] as const) : ([1, 2] as const)
  const red = rgb[low]
  const blue = rgb[high]
  if (!(red > 0) && !(blue > 0)) return Number.NaN
  if (red <= 0) return HOTTEST
  let cold = COLDEST
  let hot = HOTTEST
  while (hot - cold > 0.01) {
    const middle = (cold + hot) / 2
    const p = planckRgb(middle, primaries)
    if (p[high] * red < blue * p[low]) cold = middle
    else hot = middle
  }
  return (cold + hot) / 2
}
