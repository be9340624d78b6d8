/** The sea's radiance in every pixel that shows it, for one frame: samples over the pixel and the shutter. */
import { bits, chance, fbm, step } from '../chance.js'
import type { Setting } from '../setting.js'
import type { Sea } from './sea.js'
import { crestX } from './stones.js'

/** Adds share × radiance of the sea into `out` (RGB). */
export function renderSea(s: Setting, sea: Sea, share: Float32Array, frame: number, out: Float32Array): void {
  const times = 2
  const perTime = 2
  const open = s.shutterDeg / 360 / 24
  const rgb = new Float64Array(3)
  for (let j = 0; j < times; j++) {
    sea.at(40 + frame / 24 + (open * (j + 0.5)) / times)
    for (let y = 0; y < s.height; y++) {
      for (let x = 0; x < s.width; x++) {
        const i = y * s.width + x
        if (share[i] === 0) continue
        for (let k = 0; k < perTime; k++) {
          const id = j * perTime + k
          const u = (x + chance(s.seed, x, y, id + 900) - s.width / 2) / s.focalPx
          const row = y + (id + chance(s.seed, y, x, id + 700)) / (times * perTime)
          const v = Math.min(-0.0006, (s.horizonY - row) / s.focalPx)
          const z = -s.eyeM / v
          const wx = u * z
          const footprint = Math.max(z / s.focalPx, ((z * z) / (s.eyeM * s.focalPx)) * 0.22)
          const foam = foamAt(s, wx, z, frame / 24)
          sea.shade(wx, z, u, v, footprint, foam, bits(id, frame, x, y), rgb)
          const w = share[i] / (times * perTime)
          out[3 * i] += rgb[0] * w
          out[3 * i + 1] += rgb[1] * w
          out[3 * i + 2] += rgb[2] * w
        }
      }
    }
  }
}

/** White water: a lace along the stones, washing with the swell, and threads drifting off it. */
function foamAt(s: Setting, x: number, z: number, t: number): number {
  if (z > 560) return 0
  const off = crestX(z) - 7.2 - x
  if (off > 16 || off < -3) return 0
  const wash = 1.3 * Math.sin(0.9 * t + 0.22 * z + 2 * fbm(z * 0.06, 1, 2, 2))
  const near = step(3.4 + wash, 0.2, off)
  const lace = fbm(x * 0.9 + 0.3 * t, z * 0.5, 0.22 * t + s.seed, 5, 0.62)
  const thread = step(0.2, 0.42, fbm(x * 0.5 + 0.2 * t, z * 0.13, 5 + 0.1 * t, 4)) * step(15, 3, off)
  return Math.min(0.85, near * step(-0.12, 0.38, lace) + 0.3 * thread * step(0, 0.4, lace))
}
