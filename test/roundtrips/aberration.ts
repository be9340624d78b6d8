/** Red and blue drawn larger or smaller than green, by up to 3 px at the frame's corner. */

import { measureAberration } from '../../src/chain/lens/aberration/measure.js'
import { linear } from '../../src/chain/lens/aberration/model.js'
import { bendMap } from '../../src/chain/lens/bend.js'
import { told, uniform } from '../../src/core/index.js'
import { cropImage, warp } from '../../src/kernels/index.js'
import { filmedHalved } from './chroma.js'
import { encode, filmed } from './film.js'
import { mirrored, type Photograph } from './photographs.js'
import type { Trip } from './row.js'

/** px at the corner */
export const LIMIT = 0.05
const MOST = 3
/** Around the picture, so that what is drawn smaller shows no border. */
const AROUND = 8

/** Even draws tell red, odd ones blue. */
export function aberrationTrip(pictures: readonly Photograph[], draw: number, halved = false): Trip {
  const { image } = pictures[Math.floor(uniform(12, draw, 0, 0, 0) * pictures.length)]!
  const region = { ...image.region, width: image.region.width & ~1, height: image.region.height & ~1 }
  const corner = Math.hypot(region.width, region.height) / 2
  const truth = [1, 2].map((k) => MOST * (2 * uniform(12, draw, k, 0, 0) - 1))
  const wide = mirrored(cropImage(image, region), AROUND)
  const map = bendMap(wide.region, undefined, linear([1 + truth[0]! / corner, 1 + truth[1]! / corner]))!
  const lens = cropImage(warp(wide, map, wide.region).image, region)
  const file = halved ? filmedHalved(lens, 3000 + draw) : filmed(lens, 3000 + draw)
  const reading = measureAberration(
    [{ frame: 0, code: { region: file.region, data: file.data.map(encode) } }],
    { x: halved, y: halved },
  )
  const c = draw % 2
  if (!told(reading)) return { truth: truth[c]!, reading }
  const { factors, spreads } = reading.value
  const evidence = { ...reading.evidence, spread: spreads[c]! * corner }
  return { truth: truth[c]!, reading: { value: (factors[c]! - 1) * corner, evidence } }
}
