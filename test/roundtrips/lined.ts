/**
 * Photographs with straight strips and panels before them, seen through a lens with known distortion: many samples a pixel, and
 * the lens's equation solved by repetition [brown1971].
 */
import type { FloatImage } from '../../src/core/index.js'
import { between, chance } from '../worlds/chance.js'
import type { Photograph } from './photographs.js'

/** A strip between two places, its half width and its light; in half the short side about the middle, without distortion. */
interface Strip {
  readonly from: readonly [number, number]
  readonly way: readonly [number, number]
  readonly long: number
  readonly half: number
  readonly light: readonly [number, number, number]
}

const SAMPLES = 3
const SIZE = { width: 720, height: 405 }

/** @param k k1 and k2 in half the short side */
export function linedFrame(
  photo: Photograph,
  k: readonly [number, number],
  draw: number,
  samples = SAMPLES,
): FloatImage {
  const { width, height } = SIZE
  const unit = height / 2
  const strips = stripsOf(draw)
  const data = new Float32Array(4 * width * height)
  const radii = straightRadii(k, Math.hypot(width, height) / 2 / unit)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const o = 4 * (y * width + x)
      data[o + 3] = 1
      for (let s = 0; s < samples ** 2; s++) {
        const u = (x + ((s % samples) + 0.5) / samples - width / 2) / unit
        const v = (y + (Math.floor(s / samples) + 0.5) / samples - height / 2) / unit
        const scale = radii(Math.sqrt(u * u + v * v))
        const [p, q] = [scale * u, scale * v]
        const light = before(strips, p, q) ?? sample(photo.image, p * unit, q * unit)
        for (let c = 0; c < 3; c++) data[o + c]! += light[c]! / samples ** 2
      }
    }
  }
  return { region: { x: 0, y: 0, ...SIZE }, data }
}

/** Two or three families of strips, each with a vanishing point of its own, as walls and floors have. */
function stripsOf(draw: number): Strip[] {
  const families = 2 + Math.floor(2 * chance(draw, 1))
  return Array.from({ length: families }, (_, f) => {
    const away = between(1.5, 12, draw, 2, f)
    const angle = between(0, Math.PI, draw, 3, f)
    const vanishing = [away * Math.cos(angle), away * Math.sin(angle)] as const
    const count = 3 + Math.floor(4 * chance(draw, 4, f))
    return Array.from({ length: count }, (_, i): Strip => {
      const from = [between(-1.5, 1.5, draw, 5, f, i), between(-0.95, 0.95, draw, 6, f, i)] as const
      const [dx, dy] = [vanishing[0] - from[0], vanishing[1] - from[1]]
      const size = Math.hypot(dx, dy)
      const grey = between(0.02, 0.9, draw, 9, f, i)
      return {
        from,
        way: [dx / size, dy / size],
        long: between(0.7, 2.4, draw, 7, f, i),
        half: between(0.006, 0.03, draw, 8, f, i),
        light: [0, 1, 2].map((c) => grey * between(0.8, 1.2, draw, 10 + c, f, i)) as [number, number, number],
      }
    })
  }).flat()
}

function before(strips: readonly Strip[], x: number, y: number): readonly number[] | undefined {
  for (const { from, way, long, half, light } of strips) {
    const [fx, fy] = from
    const [wx, wy] = way
    const across = (x - fx) * wy - (y - fy) * wx
    if (across > half || across < -half) continue
    if (Math.abs((x - fx) * wx + (y - fy) * wy) < long / 2) return light
  }
  return undefined
}

/** By how much a place of the picture shrinks to where it lies without distortion: a table over the radius. */
function straightRadii([k1, k2]: readonly [number, number], most: number): (r: number) => number {
  const COUNT = 4096
  const table = Float64Array.from({ length: COUNT + 2 }, (_, i) => {
    const rd = (i * most) / COUNT
    // Halving: the picture's radius grows with the scene's.
    let [low, high] = [0, 4 * most]
    for (let n = 0; n < 60; n++) {
      const r = (low + high) / 2
      const grows = 1 + 3 * k1 * r * r + 5 * k2 * r ** 4 > 0
      if (grows && r * (1 + k1 * r * r + k2 * r ** 4) < rd) low = r
      else high = r
    }
    return rd === 0 ? 1 : low / rd
  })
  return (r) => {
    const at = (r * COUNT) / most
    const i = Math.min(Math.floor(at), COUNT)
    return table[i]! + (at - i) * (table[i + 1]! - table[i]!)
  }
}

const mixed: [number, number, number] = [0, 0, 0]

/** Linear between pixels, mirrored at the border; from the photograph's middle. The same triple every time. */
function sample({ region: { width, height }, data }: FloatImage, x: number, y: number): readonly number[] {
  const u = x + width / 2 - 0.5
  const v = y + height / 2 - 0.5
  const i = Math.floor(u)
  const j = Math.floor(v)
  const s = u - i
  const t = v - j
  const left = folded(i, width)
  const right = folded(i + 1, width)
  const upper = width * folded(j, height)
  const lower = width * folded(j + 1, height)
  for (let c = 0; c < 3; c++) {
    const above = data[4 * (upper + left) + c]! * (1 - s) + data[4 * (upper + right) + c]! * s
    const below = data[4 * (lower + left) + c]! * (1 - s) + data[4 * (lower + right) + c]! * s
    mixed[c] = above * (1 - t) + below * t
  }
  return mixed
}

function folded(v: number, length: number): number {
  const at = ((v % (2 * length)) + 2 * length) % (2 * length)
  return at < length ? at : 2 * length - 1 - at
}
