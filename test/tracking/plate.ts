/** Plates with a known motion: a surface seen through a matrix, many samples a pixel, with the faults of a camera. */
import { allocateFrame, type NativeFrame } from '../../src/core/index.js'
import type { Source } from '../../src/media/index.js'
import { chance, type Surface } from './texture.js'

/** Row-major 3 × 3 from the reference frame's pixels to a frame's. */
export type Motion = readonly number[]

export interface Shot {
  readonly width: number
  readonly height: number
  readonly frames: number
  readonly surface: Surface
  readonly motion: (frame: number) => Motion
  /** Standard deviation of the noise, of 255. */
  readonly noise?: number
  /** Share of a frame's time that the shutter is open. */
  readonly shutter?: number
  readonly stops?: (frame: number) => number
  /** What passes before it: an upright bar from x to x + width px, none where nothing is given. */
  readonly before?: (frame: number) => { x: number; width: number } | undefined
  readonly bits?: 8 | 10
}

const SIDE = 2
const OPEN = 5

export function at(m: Motion, x: number, y: number): [number, number] {
  const w = m[6]! * x + m[7]! * y + m[8]!
  return [(m[0]! * x + m[1]! * y + m[2]!) / w, (m[3]! * x + m[4]! * y + m[5]!) / w]
}

/** A source that paints its frames when they are asked for. */
export function plateOf(shot: Shot): Source {
  const layout = {
    family: 'yuv',
    bits: shot.bits ?? 8,
    float: false,
    subX: 1,
    subY: 1,
    alpha: false,
  } as const
  const { width, height, frames: frameCount } = shot
  return {
    info: { width, height, layout, frameCount, kind: 'movie' } as unknown as Source['info'],
    async *frames(first = 0, count = frameCount) {
      for (let f = first; f < Math.min(frameCount, first + count); f++)
        yield painted(shot, f, allocateFrame(layout, width, height))
    },
    reach: () => 1,
    close: async () => {},
  }
}

function painted(shot: Shot, frame: number, out: NativeFrame): NativeFrame {
  const { width, height, noise = 0, stops, before, bits = 8 } = shot
  const luma = out.planes[0]!.data
  const picture = seen(shot, frame)
  const gain = 2 ** (stops?.(frame) ?? 0)
  const bar = before?.(frame)
  const step = 2 ** (bits - 8)
  // Light doubles a stop; a camera's curve makes 2^0.45 of it.
  const exposed = gain ** 0.45 * (stops === undefined ? 1 : 0.6)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let v = picture[y * width + x]!
      // A bar with a pattern of its own that goes with it.
      if (bar !== undefined && x >= bar.x && x < bar.x + bar.width)
        v = 60 + 120 * chance(Math.floor((x - bar.x) / 5), Math.floor(y / 5), 77)
      v = 16 + (v - 16) * exposed
      if (noise > 0) v += noise * normal(frame, x, y)
      luma[y * width + x] = Math.max(0, Math.min(255 * step, Math.round(v * step)))
    }
  }
  for (const p of out.planes.slice(1)) p.data.fill(128 * step)
  return out
}

/** The surface's middle lies in the middle of the reference frame. */
function seen(shot: Shot, frame: number): Float32Array {
  const { width, height, surface, shutter = 0 } = shot
  const out = new Float32Array(width * height)
  const times = shutter === 0 ? 1 : OPEN
  const [ox, oy] = [surface.width / 2 - 2 * width, surface.height / 2 - 2 * height]
  for (let t = 0; t < times; t++) {
    // Open about the frame's moment, so that its middle is where the motion says.
    const back = inverted(shot.motion(frame + shutter * ((t + 0.5) / times - 0.5)))
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        let sum = 0
        for (let j = 0; j < SIDE; j++) {
          for (let i = 0; i < SIDE; i++) {
            const [u, v] = at(back, x + (i + 0.5) / SIDE, y + (j + 0.5) / SIDE)
            sum += read(surface, ox + 4 * u, oy + 4 * v)
          }
        }
        out[y * width + x]! += sum / (SIDE * SIDE * times)
      }
    }
  }
  return out
}

/** Bilinear; beyond its border the surface is mirrored. */
export function read({ width, height, data }: Surface, x: number, y: number): number {
  const [u, v] = [x - 0.5, y - 0.5]
  const [i, j] = [Math.floor(u), Math.floor(v)]
  const own = (a: number, b: number) => data[mirrored(b, height) * width + mirrored(a, width)]!
  const top = own(i, j) + (own(i + 1, j) - own(i, j)) * (u - i)
  const below = own(i, j + 1) + (own(i + 1, j + 1) - own(i, j + 1)) * (u - i)
  return top + (below - top) * (v - j)
}

function mirrored(i: number, n: number): number {
  const k = ((i % (2 * n)) + 2 * n) % (2 * n)
  return k < n ? k : 2 * n - 1 - k
}

/** Sum of twelve, less six. */
export function normal(frame: number, x: number, y: number): number {
  let sum = -6
  for (let k = 0; k < 12; k++) sum += chance(frame, x, y, k)
  return sum
}

export function inverted(m: Motion): Motion {
  const [a, b, c, d, e, f, g, h, i] = m as unknown as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ]
  return [
    ...[e * i - f * h, c * h - b * i, b * f - c * e],
    ...[f * g - d * i, a * i - c * g, c * d - a * f],
    ...[d * h - e * g, b * g - a * h, a * e - b * d],
  ]
}
