/** Blur by a disc of 1 to 20 px, even on a logarithmic scale: as it comes, and through a camera's encoder and back. */
import { measureBlur } from '../../src/chain/lens/defocus/measure.js'
import { type FloatImage, told, uniform } from '../../src/core/index.js'
import { cropImage, discBlur, discReach } from '../../src/kernels/index.js'
import { coded } from './coded.js'
import { filmed, luminance } from './film.js'
import { mirrored, type Photograph } from './photographs.js'
import type { Trip } from './row.js'

export const LIMIT = 0.05
const LARGEST = 20
/** Constant rate factors: the rates of phones and small cameras (common practice). */
const CRF = [16, 24] as const

export function blurTrip(pictures: readonly Photograph[], draw: number): Trip {
  const { image, truth } = sceneOf(pictures, draw)
  return seen(filmed(blurred(image, truth), 1000 + draw), truth, false)
}

/** The scene stands amid its own mirror images: a movie's frame is larger than a small picture, and its codec's blocks are not. */
export async function codedBlurTrip(pictures: readonly Photograph[], draw: number): Promise<Trip> {
  const { image, truth } = sceneOf(pictures, draw)
  const around = mirrored(image, Math.floor(Math.min(image.region.width, image.region.height) / 2))
  const crf = Math.round(CRF[0] + (CRF[1] - CRF[0]) * uniform(11, draw, 2, 0, 0))
  const encoder = uniform(11, draw, 3, 0, 0) < 0.5 ? 'libx264' : 'libx265'
  return seen(await coded(blurred(around, truth), { encoder, crf }, 1000 + draw), truth, true)
}

function sceneOf(pictures: readonly Photograph[], draw: number): { image: FloatImage; truth: number } {
  const { image } = pictures[Math.floor(uniform(11, draw, 0, 0, 0) * pictures.length)]!
  return { image, truth: LARGEST ** uniform(11, draw, 1, 0, 0) }
}

function blurred(image: FloatImage, radius: number): FloatImage {
  const { width, height } = image.region
  const own = { region: { x: 0, y: 0, width, height }, data: image.data }
  return cropImage(discBlur(mirrored(own, discReach(radius)), radius), own.region)
}

function seen(image: FloatImage, truth: number, throughCodec: boolean): Trip {
  const { width, height } = image.region
  const reading = measureBlur({ width, height, values: luminance(image) }, 0, image.region, throughCodec)
  return { truth, reading: told(reading) ? { ...reading, value: reading.value.radius } : reading }
}
