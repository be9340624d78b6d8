/**
 * An emitter in its own file: how bright its body is and how hot it looks.
 *
 *   body         luminance above which half of all its light comes; at the file's ceiling it is a lower bound
 *   temperature  nearest on Planck's locus to the summed light of what is bright and yet unclipped
 *
 * Source: [planck1901] for the locus; the choice of body: common practice.
 */
import { luminanceRow, temperatureOf } from '../../../colour/index.js'
import type { FloatImage, PrimariesName, Reading, Rgb } from '../../../core/index.js'

export interface EmitterMeasure {
  /** Linear luminance, diffuse white = 1. */
  readonly body: number
  readonly temperature: number
  /** Share of the light that lies at the file's ceiling. */
  readonly clipped: number
}

/** @param clip linear value at which the element's code ends */
export function measureEmitter(
  images: readonly FloatImage[],
  frames: readonly number[],
  clip: number,
  primaries: PrimariesName,
): Reading<EmitterMeasure> {
  const y = luminanceRow(primaries)
  const bright: number[] = []
  const sum: [number, number, number] = [0, 0, 0]
  let all = 0
  let atCeiling = 0
  for (const { data } of images) {
    for (let i = 0; i < data.length; i += 4) {
      const r = data[i] as number
      const g = data[i + 1] as number
      const b = data[i + 2] as number
      const most = Math.max(r, g, b)
      const light = y[0] * r + y[1] * g + y[2] * b
      if (most < 0.01 * clip || light <= 0) continue
      all += light
      bright.push(light)
      if (most > 0.95 * clip) atCeiling += light
      else if (most > 0.4 * clip) {
        sum[0] += r
        sum[1] += g
        sum[2] += b
      }
    }
  }
  if (bright.length < 50) return { cannotTell: 'the file holds no light to measure' }
  return {
    value: {
      body: halfLight(bright, all),
      temperature: temperatureOf(sum as Rgb, primaries),
      clipped: atCeiling / all,
    },
    evidence: {
      kind: 'measured',
      frames: [...frames],
      method: 'half-light luminance; Planck locus nearest to the unclipped light',
      confidence: atCeiling / all > 0.3 ? 0.5 : 0.8,
    },
  }
}

function halfLight(values: number[], total: number): number {
  values.sort((a, b) => b - a)
  let sum = 0
  for (const v of values) {
    sum += v
    if (sum >= total / 2) return v
  }
  return 0
}
