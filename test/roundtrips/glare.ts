/** Lamps over a dimmed photograph, and a skirt around all that shines: 2 to 15 % of their light, 6 to 20 px wide. */
import { withGlare } from '../../src/chain/lens/glare/apply.js'
import { measureGlare } from '../../src/chain/lens/glare/measure.js'
import { told, uniform } from '../../src/core/index.js'
import { copyImage } from '../../src/kernels/index.js'
import { filmed } from './film.js'
import { enlarged, type Photograph } from './photographs.js'
import type { Trip } from './row.js'

/** Of the share. */
export const LIMIT = 0.15
const LAMPS = 3
/** Of daylight: glare shows where it is dark. */
const NIGHT = 0.01

export function glareTrip(pictures: readonly Photograph[], draw: number): Trip {
  const chance = (k: number) => uniform(13, draw, k, 0, 0)
  const scene = enlarged(pictures[Math.floor(chance(0) * pictures.length)]!.image, 2)
  const { width, height } = scene.region
  const [share, wide] = [0.02 * 7.5 ** chance(1), 6 + 14 * chance(2)]
  const lit = copyImage(scene)
  for (let i = 0; i < lit.data.length; i++) if (i % 4 !== 3) lit.data[i]! *= NIGHT
  for (let n = 0; n < LAMPS; n++) {
    const [x, y] = [width * (0.15 + 0.7 * chance(10 + n)), height * (0.15 + 0.7 * chance(20 + n))]
    const radius = 5 + 8 * chance(30 + n)
    for (let p = 0; p < width * height; p++) {
      const inside = radius - Math.hypot((p % width) + 0.5 - x, Math.floor(p / width) + 0.5 - y)
      if (inside < 0) continue
      // Such that what stays in the core is just clipped.
      for (const c of [0, 1, 2]) lit.data[4 * p + c] = 1 / (1 - share)
    }
  }
  const reading = measureGlare(
    [
      {
        frame: 0,
        image: filmed(withGlare(lit, { share, width: wide }, scene.region, scene.region), 5000 + draw),
      },
    ],
    1,
  )
  return { truth: share, reading: told(reading) ? { ...reading, value: reading.value.share } : reading }
}
