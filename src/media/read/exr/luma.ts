/**
 * Luminance and chroma to R, G, B.
 *
 *   R = (RY + 1) Y      B = (BY + 1) Y      G = (Y − w_R R − w_B B) / w_G
 *
 * w are the luminances of the primaries at white 1, by the file's chromaticities. Chroma that stands at every other pixel
 * of every other line is filled in along lines, then along columns, by 14 samples with the weights below, those beyond an edge
 * being its last one; it may overshoot, so a pixel that comes out far more saturated than the four at its corners is drawn back
 * towards its largest component, at its own luminance. The filter is that of the OpenEXR library, so that pictures come out as
 * they do everywhere. Source: [openexr-yca].
 */
import type { Plane, Rgb } from '../../../core/index.js'

/** From the nearest pair outwards. */
const WEIGHTS = [0.627123, -0.186077, 0.087929, -0.043159, 0.019597, -0.00754, 0.002128] as const

/** @param chroma RY and BY, at full size or half in both directions @param weights w_R, w_G, w_B */
export function fromLuma(y: Plane, chroma: readonly [Plane, Plane], weights: Rgb): [Plane, Plane, Plane] {
  const { width, height } = y
  const halved = chroma[0].width !== width
  const [ry, by] = chroma.map((c) => (halved ? filledIn(c, width, height) : (c.data as Float32Array)))
  const rgb = [0, 1, 2].map(() => new Float32Array(width * height)) as [
    Float32Array,
    Float32Array,
    Float32Array,
  ]
  for (let i = 0; i < width * height; i++) {
    const light = y.data[i] as number
    const [a, b] = [(ry as Float32Array)[i] as number, (by as Float32Array)[i] as number]
    // No chroma is no colour, to the bit.
    const grey = a === 0 && b === 0
    const [red, blue] = grey ? [light, light] : [(a + 1) * light, (b + 1) * light]
    rgb[0][i] = red
    rgb[1][i] = grey ? light : (light - weights[0] * red - weights[2] * blue) / weights[1]
    rgb[2][i] = blue
  }
  const drawn = halved ? drawnBack(rgb, width, height, weights) : rgb
  return drawn.map((data) => ({ width, height, data })) as [Plane, Plane, Plane]
}

function filledIn({ width: w, height: h, data }: Plane, width: number, height: number): Float32Array {
  const out = new Float32Array(width * height)
  const at = (i: number, n: number) => Math.min(Math.max(i, 0), n - 1)
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const place = 2 * y * width + 2 * x
      out[place] = data[y * w + x] as number
      let sum = 0
      for (const [k, weight] of WEIGHTS.entries())
        sum += weight * ((data[y * w + at(x - k, w)] as number) + (data[y * w + at(x + 1 + k, w)] as number))
      out[place + 1] = sum
    }
  }
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < width; x++) {
      let sum = 0
      for (const [k, weight] of WEIGHTS.entries())
        sum +=
          weight *
          ((out[2 * at(y - k, h) * width + x] as number) + (out[2 * at(y + 1 + k, h) * width + x] as number))
      out[(2 * y + 1) * width + x] = sum
    }
  }
  return out
}

type Light = readonly [Float32Array, Float32Array, Float32Array]

function drawnBack(rgb: Light, width: number, height: number, weights: Rgb): Light {
  const saturation = new Float32Array(width * height)
  for (let i = 0; i < saturation.length; i++) {
    const [r, g, b] = pixel(rgb, i)
    const most = Math.max(r, g, b)
    saturation[i] = most > 0 ? 1 - Math.min(r, g, b) / most : 0
  }
  const out = rgb.map((p) => p.slice()) as [Float32Array, Float32Array, Float32Array]
  for (let y = 0; y < height; y++) {
    const [above, below] = [Math.max(y - 1, 0) * width, (y + 1 < height ? y + 1 : y - 1) * width]
    for (let x = 0; x < width; x++) {
      const i = y * width + x
      const [left, right] = [Math.max(x - 1, 0), Math.min(x + 1, width - 1)]
      const around = [above + left, above + right, below + left, below + right]
      const mean = Math.min(1, around.reduce((sum, k) => sum + (saturation[k] as number), 0) / 4)
      const limit = 1 - (1 - mean) / 4
      const own = saturation[i] as number
      if (own <= limit) continue
      const [r, g, b] = pixel(rgb, i)
      const most = Math.max(r, g, b)
      const drawn = [r, g, b].map((v) => Math.max(most - ((most - v) * limit) / own, 0)) as [
        number,
        number,
        number,
      ]
      const light = luminance(drawn, weights)
      const scale = light > 0 ? luminance([r, g, b], weights) / light : 1
      for (const [c, v] of drawn.entries()) (out[c] as Float32Array)[i] = v * scale
    }
  }
  return out
}

function pixel(rgb: Light, i: number): [number, number, number] {
  return [rgb[0][i] as number, rgb[1][i] as number, rgb[2][i] as number]
}

function luminance([r, g, b]: readonly [number, number, number], w: Rgb): number {
  return w[0] * r + w[1] * g + w[2] * b
}
