/** Blur by a disc of 1 to 20 px, even on a logarithmic scale. */
import { measureBlur } from '../../src/chain/lens/defocus/measure.js'
import { told, uniform } from '../../src/core/index.js'
import { cropImage, discBlur, discReach } from '../../src/kernels/index.js'
import { filmed, luminance } from './film.js'
import { mirrored, type Photograph } from './photographs.js'
import type { Trip } from './row.js'

export const LIMIT = 0.05
const LARGEST = 20

export function blurTrip(pictures: readonly Photograph[], draw: number): Trip {
  const { image } = pictures[Math.floor(uniform(11, draw, 0, 0, 0) * pictures.length)]!
  const truth = LARGEST ** uniform(11, draw, 1, 0, 0)
  const { region } = image
  const blurred = cropImage(discBlur(mirrored(image, discReach(truth)), truth), region)
  const values = luminance(filmed(blurred, 1000 + draw))
  const reading = measureBlur({ width: region.width, height: region.height, values }, 0, region)
  return { truth, reading: told(reading) ? { ...reading, value: reading.value.radius } : reading }
}
