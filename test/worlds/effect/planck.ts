/**
 * Colour of a black body in linear BT.709, luminance 1: Planck's law against an analytic fit of the CIE 1931 observer.
 *
 * Sources: [planck1901], [wyman2013] (fit), [iec61966-2-1] (matrix). Blue is kept at 0.5 % of luminance: no camera sees none.
 */
export function planckRgb(kelvin: number): [number, number, number] {
  let X = 0
  let Y = 0
  let Z = 0
  for (let nm = 380; nm <= 780; nm += 5) {
    const m = nm * 1e-9
    const p = 1e-13 / (m ** 5 * (Math.exp(1.438777e-2 / (m * kelvin)) - 1))
    X +=
      p *
      (1.056 * lobe(nm, 599.8, 37.9, 31) +
        0.362 * lobe(nm, 442, 16, 26.7) -
        0.065 * lobe(nm, 501.1, 20.4, 26.2))
    Y += p * (0.821 * lobe(nm, 568.8, 46.9, 40.5) + 0.286 * lobe(nm, 530.9, 16.3, 31.1))
    Z += p * (1.217 * lobe(nm, 437, 11.8, 36) + 0.681 * lobe(nm, 459, 26, 13.8))
  }
  const r = Math.max(0, 3.2404542 * X - 1.5371385 * Y - 0.4985314 * Z)
  const g = Math.max(0, -0.969266 * X + 1.8760108 * Y + 0.041556 * Z)
  const blue = 0.0556434 * X - 0.2040259 * Y + 1.0572252 * Z
  const b = Math.max(blue, 0.005 * Y)
  const l = 0.2126 * r + 0.7152 * g + 0.0722 * b
  return [r / l, g / l, b / l]
}

function lobe(x: number, mean: number, below: number, above: number): number {
  const t = (x - mean) / (x < mean ? below : above)
  return Math.exp(-0.5 * t * t)
}
