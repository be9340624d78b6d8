/** A file's own planes as numbers in 256 steps, parts of them, and their R'G'B' by hand: nothing of the program's pixel work is used. */
import { openSource } from '../../../src/media/index.js'

export interface Plane {
  readonly width: number
  readonly height: number
  readonly data: Float32Array
}

/** Y, Cb and Cr of one frame, with by how much the chroma is shrunk along each axis. */
export interface Planes {
  readonly planes: readonly [Plane, Plane, Plane]
  readonly shrunk: readonly [number, number]
}

export interface Box {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

export async function readPlanes(path: string, first: number, count: number): Promise<Planes[]> {
  const source = await openSource(path)
  const out: Planes[] = []
  for await (const { layout, planes } of source.frames(first, count)) {
    const step = 2 ** (layout.bits - 8)
    const own = planes.map(({ width, height, data }) => ({
      width,
      height,
      data: Float32Array.from(data, (v) => v / step),
    }))
    out.push({
      planes: own as unknown as Planes['planes'],
      shrunk: [1 << layout.subX, 1 << layout.subY],
    })
  }
  await source.close()
  return out
}

export function part({ width, data }: Plane, box: Box): Plane {
  const out = new Float32Array(box.width * box.height)
  for (let y = 0; y < box.height; y++) {
    const from = (box.y + y) * width + box.x
    out.set(data.subarray(from, from + box.width), y * box.width)
  }
  return { width: box.width, height: box.height, data: out }
}

/** The same place in all three; `box` lies on the chroma's sites. */
export function partOf({ planes, shrunk: [sx, sy] }: Planes, box: Box): Planes {
  const small = { x: box.x / sx, y: box.y / sy, width: box.width / sx, height: box.height / sy }
  return {
    planes: [part(planes[0], box), part(planes[1], small), part(planes[2], small)],
    shrunk: [sx, sy],
  }
}

/** Value between the pixels by a cubic through four [keys1981]; beyond the border the border's. */
export function between({ width, height, data }: Plane, x: number, y: number): number {
  const [u, v] = [Math.floor(x), Math.floor(y)]
  const [a, b] = [weights(x - u), weights(y - v)]
  let sum = 0
  for (let j = 0; j < 4; j++) {
    const row = Math.min(Math.max(v + j - 1, 0), height - 1) * width
    for (let i = 0; i < 4; i++)
      sum += a[i]! * b[j]! * data[row + Math.min(Math.max(u + i - 1, 0), width - 1)]!
  }
  return sum
}

function weights(t: number): readonly number[] {
  return [
    t * (-0.5 + t * (1 - 0.5 * t)),
    1 + t * t * (-2.5 + 1.5 * t),
    t * (0.5 + t * (2 - 1.5 * t)),
    t * t * (-0.5 + 0.5 * t),
  ]
}

/** Chroma at every pixel: straight lines between samples that lie on every other column, and halfway between rows. */
export function wide({ planes, shrunk: [sx, sy] }: Planes): readonly [Plane, Plane, Plane] {
  const [{ width, height }] = planes
  const full = (p: Plane): Plane => {
    const data = new Float32Array(width * height)
    for (let y = 0, i = 0; y < height; y++) {
      const v = Math.min(Math.max((y + 0.5) / sy - 0.5, 0), p.height - 1)
      const [r, b] = [Math.min(Math.floor(v), p.height - 2), v - Math.min(Math.floor(v), p.height - 2)]
      for (let x = 0; x < width; x++, i++) {
        const u = Math.min(x / sx, p.width - 1)
        const [c, a] = [Math.min(Math.floor(u), p.width - 2), u - Math.min(Math.floor(u), p.width - 2)]
        const at = (k: number, l: number) => p.data[l * p.width + k]!
        data[i] =
          (1 - b) * ((1 - a) * at(c, r) + a * at(c + 1, r)) +
          b * ((1 - a) * at(c, r + 1) + a * at(c + 1, r + 1))
      }
    }
    return { width, height, data }
  }
  return [planes[0], full(planes[1]), full(planes[2])]
}

/** R'G'B', 0 to 1, of limited-range planes; `luma` is the matrix' share of red and blue. */
export function colours(p: Planes, [kr, kb]: readonly [number, number]): Float32Array {
  const [y, cb, cr] = wide(p)
  const out = new Float32Array(3 * y.data.length)
  for (let i = 0; i < y.data.length; i++) {
    const l = (y.data[i]! - 16) / 219
    const r = l + (2 * (1 - kr) * (cr.data[i]! - 128)) / 224
    const b = l + (2 * (1 - kb) * (cb.data[i]! - 128)) / 224
    out.set([r, (l - kr * r - kb * b) / (1 - kr - kb), b], 3 * i)
  }
  return out
}
