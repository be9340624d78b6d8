/** The picture that kernels are timed on: 1080p, every value its own. */
import { linear } from '../../src/chain/lens/aberration/model.js'
import { type Bend, plateBend } from '../../src/chain/lens/bend.js'
import { emptyImage, type FloatImage, type Region } from '../../src/core/index.js'

export const WIDTH = 1920
export const HEIGHT = 1080
export const SIZE = `${WIDTH}x${HEIGHT}`
export const region: Region = { x: 0, y: 0, width: WIDTH, height: HEIGHT }

/** A slight barrel, red a little larger and blue a little smaller than green: that of the renders' plate. */
export const LENS = (
  plateBend(region, { form: 'brown-conrady', terms: [-0.002, 0, 0, 0, 0] }, linear([1.0007, 0.9995])) as Bend
).map

export function noisy(): FloatImage {
  const image = emptyImage(region)
  let state = 1
  for (let i = 0; i < image.data.length; i++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    image.data[i] = (state / 2 ** 32) * (i % 4 === 3 ? 1 : 0.9)
  }
  return image
}
