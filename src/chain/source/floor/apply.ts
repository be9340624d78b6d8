/**
 * Black floor: light that a file shot on black holds where there should be none.
 *
 *   C = w · (c − floor)      w = smoothstep(1.5, 3, m)      m = max over channels of (3×3 mean of c − floor) / σ
 *
 * The gate looks at a 3×3 mean, so that a faint edge outlives the noise that a single pixel drowns in.
 * Source: common practice.
 */
import { around, type FloatImage, POINTWISE, type Reach, type Rgb } from '../../../core/index.js'

/** The gate looks at the pixels around. */
export function floorReach(floor: Rgb, noise: Rgb): Reach {
  return isNone(floor, noise) ? POINTWISE : around(1)
}

/** A floor and noise of 0 leave the picture as it is. */
function isNone(floor: Rgb, noise: Rgb): boolean {
  return floor.every((v) => v === 0) && noise.every((v) => v === 0)
}

/** In place on linear light. */
export function removeFloor(image: FloatImage, floor: Rgb, noise: Rgb): void {
  if (isNone(floor, noise)) return
  const { width, height } = image.region
  const d = image.data
  for (let i = 0; i < d.length; i += 4)
    for (let c = 0; c < 3; c++) d[i + c] = (d[i + c] as number) - (floor[c] as number)
  const m = gateLevel(d, width, height, noise)
  for (let p = 0; p < m.length; p++) {
    const t = Math.min(Math.max(((m[p] as number) - 1.5) / 1.5, 0), 1)
    const w = t * t * (3 - 2 * t)
    for (let c = 0; c < 3; c++) d[4 * p + c] = w === 0 ? 0 : (d[4 * p + c] as number) * w
  }
}

function gateLevel(d: Float32Array, width: number, height: number, noise: Rgb): Float32Array {
  const m = new Float32Array(width * height)
  for (let c = 0; c < 3; c++) {
    const sigma = Math.max(noise[c] as number, 1e-6)
    for (let y = 0; y < height; y++) {
      const y0 = Math.max(y - 1, 0)
      const y1 = Math.min(y + 1, height - 1)
      for (let x = 0; x < width; x++) {
        const x0 = Math.max(x - 1, 0)
        const x1 = Math.min(x + 1, width - 1)
        let sum = 0
        for (let v = y0; v <= y1; v++)
          for (let u = x0; u <= x1; u++) sum += d[4 * (v * width + u) + c] as number
        const level = sum / ((x1 - x0 + 1) * (y1 - y0 + 1)) / sigma
        const p = y * width + x
        if (level > (m[p] as number)) m[p] = level
      }
    }
  }
  return m
}
