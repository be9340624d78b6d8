/** Surfaces to move: made here, or a photograph. Grey, 0 to 255, four times as fine as the plate. */
import { join } from 'node:path'
import { openSource } from '../../src/media/index.js'

export interface Surface {
  readonly width: number
  readonly height: number
  readonly data: Float32Array
}

/** Whole numbers to 0 … 1. */
export function chance(...of: readonly number[]): number {
  let h = 0x811c9dc5
  for (const v of of) {
    h = Math.imul(h ^ (v | 0), 0x01000193)
    h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d)
    h ^= h >>> 13
  }
  return (h >>> 0) / 4294967296
}

/** Noise between points of a grid, smooth. */
function cloud(x: number, y: number, size: number, seed: number): number {
  const [u, v] = [x / size, y / size]
  const [i, j] = [Math.floor(u), Math.floor(v)]
  const ease = (t: number) => t * t * (3 - 2 * t)
  const [s, t] = [ease(u - i), ease(v - j)]
  const at = (a: number, b: number) => chance(a, b, size, seed)
  const top = at(i, j) + (at(i + 1, j) - at(i, j)) * s
  const below = at(i, j + 1) + (at(i + 1, j + 1) - at(i, j + 1)) * s
  return top + (below - top) * t
}

/** Rough plaster: clouds of many sizes. */
export function plaster(width: number, height: number, seed = 1): Surface {
  return surface(width, height, (x, y) => {
    let v = 0
    for (const [size, share] of [
      [512, 0.3],
      [128, 0.25],
      [48, 0.25],
      [20, 0.2],
    ] as const)
      v += share * cloud(x, y, size, seed)
    return 20 + 215 * v
  })
}

/** Cobbles: each stone has a grey of its own, dark joints lie between them. */
export function cobbles(width: number, height: number, seed = 2): Surface {
  const size = 90
  return surface(width, height, (x, y) => {
    const [i, j] = [Math.floor(x / size), Math.floor(y / size)]
    let [near, next, grey] = [1e9, 1e9, 0]
    for (let a = i - 1; a <= i + 1; a++) {
      for (let b = j - 1; b <= j + 1; b++) {
        const [cx, cy] = [(a + chance(a, b, seed)) * size, (b + chance(a, b, seed + 1)) * size]
        const d = (cx - x) ** 2 + (cy - y) ** 2
        if (d < near) [next, near, grey] = [near, d, chance(a, b, seed + 2)]
        else if (d < next) next = d
      }
    }
    const joint = Math.min(1, (Math.sqrt(next) - Math.sqrt(near)) / 14)
    return (30 + joint * (60 + 110 * grey)) * (0.85 + 0.3 * cloud(x, y, 24, seed))
  })
}

function surface(width: number, height: number, grey: (x: number, y: number) => number): Surface {
  const data = new Float32Array(width * height)
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) data[y * width + x] = grey(x, y)
  return { width, height, data }
}

/** A photograph of the footage folder, drawn four times as large; nothing where the folder is absent. */
export async function photograph(footage: string, name: string): Promise<Surface | undefined> {
  const source = await openSource(join(footage, name), { still: true }).catch(() => undefined)
  if (source === undefined) return undefined
  try {
    for await (const { width, height, planes, layout } of source.frames(0, 1)) {
      const [r, g, b] = planes.map((p) => p.data)
      const step = layout.float ? 1 / 255 : 2 ** (layout.bits - 8)
      const grey = (x: number, y: number) => {
        const at = Math.min(height - 1, y) * width + Math.min(width - 1, x)
        return (r![at]! + 2 * g![at]! + b![at]!) / 4 / step
      }
      return surface(4 * width, 4 * height, (x, y) => {
        const [u, v] = [Math.max(0, (x + 0.5) / 4 - 0.5), Math.max(0, (y + 0.5) / 4 - 0.5)]
        const [i, j] = [Math.floor(u), Math.floor(v)]
        const top = grey(i, j) + (grey(i + 1, j) - grey(i, j)) * (u - i)
        const below = grey(i, j + 1) + (grey(i + 1, j + 1) - grey(i, j + 1)) * (u - i)
        return top + (below - top) * (v - j)
      })
    }
  } finally {
    await source.close()
  }
  return undefined
}
