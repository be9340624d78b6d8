/** A camera that pans before a photograph, slower or faster from frame to frame, with a shutter of 170° to 320°: the motion is found too. */
import { type FloatImage, uniform } from '../../src/core/index.js'
import { angleOf } from '../../src/engine/shutter/measure.js'
import { filmed } from './film.js'
import type { Photograph } from './photographs.js'
import type { Trip } from './row.js'

const [W, H] = [400, 300]
const FRAMES = 3
const MOMENTS = 30
const BT709 = [0.2126, 0.7152, 0.0722] as const

/** @param pictures shrunk twice: wide enough to pan over */
export async function panTrip(pictures: readonly Photograph[], draw: number): Promise<Trip> {
  const chance = (k: number) => uniform(29, draw, k, 0, 0)
  const { image } = pictures[Math.floor(chance(0) * pictures.length)] as Photograph
  const [truth, v, faster] = [170 + 150 * chance(2), 22 + 16 * chance(1), 5 * (chance(4) - 0.5)]
  const turn = 0.5 * (chance(3) - 0.5)
  const height = Math.min(H, image.region.height - 2)
  const images = Array.from({ length: FRAMES }, (_, f) => {
    const data = new Float32Array(4 * W * height)
    for (let k = 0; k < MOMENTS; k++) {
      const t = f + (truth / 360) * ((k + 0.5) / MOMENTS - 0.5)
      const way = v * t + (faster * t * t) / 2
      addMoved(data, image, way * Math.cos(turn), way * Math.sin(turn), height)
    }
    return filmed({ region: { x: 0, y: 0, width: W, height }, data }, 7000 + FRAMES * draw + f)
  })
  const samples = images.slice(1).map((after, i) => ({ frame: i, image: images[i] as FloatImage, after }))
  return { truth, reading: await angleOf(samples, BT709) }
}

/** Between pixels linearly; beyond its border the picture is mirrored. */
function addMoved(
  to: Float32Array,
  { region, data }: FloatImage,
  dx: number,
  dy: number,
  height: number,
): void {
  const [i, j] = [Math.floor(dx), Math.floor(dy)]
  const [a, b] = [dx - i, dy - j]
  const folded = (n: number, size: number) => {
    const at = Math.abs(n) % (2 * size - 2)
    return at < size ? at : 2 * size - 2 - at
  }
  for (let y = 0, o = 0; y < height; y++) {
    const [above, below] = [y + j, y + j + 1].map((n) => folded(n, region.height) * region.width)
    for (let x = 0; x < W; x++, o += 4) {
      const [left, right] = [x + i, x + i + 1].map((n) => folded(n, region.width))
      for (let c = 0; c < 3; c++) {
        const at = (row: number, column: number) => data[4 * (row + column) + c]!
        const upper = (1 - a) * at(above!, left!) + a * at(above!, right!)
        to[o + c]! += ((1 - b) * upper + b * ((1 - a) * at(below!, left!) + a * at(below!, right!))) / MOMENTS
      }
    }
  }
}
