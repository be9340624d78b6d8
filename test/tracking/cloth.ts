/**
 * A hanging cloth that bends: a sheet in space, seen by a camera, with waves and a crease that grow, turning as it goes, lit from
 * one side so that its shading changes. Places of frame 0, where it hangs flat, are carried exactly; frames are painted by turning
 * that round, many samples a pixel. No code of the program is in it.
 */
import { allocateFrame, type NativeFrame } from '../../src/core/index.js'
import type { Source } from '../../src/media/index.js'
import { normal, read } from './plate.js'
import type { Surface } from './texture.js'

export interface Cloth {
  readonly width: number
  readonly height: number
  readonly frames: number
  readonly surface: Surface
  readonly noise: number
  /** Depth of the waves and of the crease at the end, px; angle by which it turns, degrees; way it goes, px a frame. */
  readonly wave: number
  readonly crease: number
  readonly turn: number
  readonly way: readonly [number, number]
  /** Upright bar before it, frame by frame. */
  readonly before?: (frame: number) => { x: number; width: number } | undefined
}

/** Of the camera, px. */
const AWAY = 900
const WAVE = 170
const CREASE = 60

/** How far the cloth comes forward at a place of frame 0, px. */
function relief(c: Cloth, frame: number, x: number, y: number): number {
  const share = Math.sin((Math.PI / 2) * (frame / (c.frames - 1))) ** 2
  const phase = (2 * Math.PI * (x + 0.45 * y)) / WAVE + 0.06 * frame
  const from = Math.abs(x - 0.62 * c.width + 0.25 * (y - c.height / 2))
  const tent = Math.max(0, 1 - from / CREASE)
  return share * (c.wave * (Math.sin(phase) - Math.sin(phase - 0.06 * frame) * (1 - share)) + c.crease * tent)
}

/** Where a place of frame 0 is carried. */
export function carried(c: Cloth, frame: number, x: number, y: number): [number, number] {
  const [mx, my] = [c.width / 2, c.height / 2]
  const angle = ((c.turn * Math.PI) / 180) * (frame / (c.frames - 1))
  const [u, v, z] = [x - mx, y - my, relief(c, frame, x, y)]
  const [right, near] = [u * Math.cos(angle) + z * Math.sin(angle), z * Math.cos(angle) - u * Math.sin(angle)]
  const size = AWAY / (AWAY - near)
  return [mx + size * right + c.way[0] * frame, my + size * v + c.way[1] * frame]
}

function shade(c: Cloth, frame: number, x: number, y: number): number {
  const d = 1
  const a = (relief(c, frame, x + d, y) - relief(c, frame, x - d, y)) / (2 * d)
  const b = (relief(c, frame, x, y + d) - relief(c, frame, x, y - d)) / (2 * d)
  const angle = ((c.turn * Math.PI) / 180) * (frame / (c.frames - 1))
  const length = Math.sqrt(1 + a * a + b * b)
  // Light from the left above and before.
  const [nx, ny, nz] = [-a * Math.cos(angle) + Math.sin(angle), -b, Math.cos(angle) + a * Math.sin(angle)]
  return 0.35 + (0.65 * Math.max(0, -0.5 * nx - 0.3 * ny + 0.81 * nz)) / (0.81 * length)
}

/** Painted when asked for: Y′CbCr 4:2:0 of 8 bits. */
export function clothPlate(c: Cloth): Source {
  const layout = { family: 'yuv', bits: 8, float: false, subX: 1, subY: 1, alpha: false } as const
  const { width, height, frames: frameCount } = c
  return {
    info: { width, height, layout, frameCount, kind: 'movie' } as unknown as Source['info'],
    async *frames(first = 0, count = frameCount) {
      for (let f = first; f < Math.min(frameCount, first + count); f++)
        yield painted(c, f, allocateFrame(layout, width, height))
    },
    reach: () => 1,
    close: async () => {},
  }
}

const SIDE = 2

function painted(c: Cloth, frame: number, out: NativeFrame): NativeFrame {
  const luma = out.planes[0]!.data
  const { width, height, surface } = c
  const [ox, oy] = [surface.width / 2 - 2 * width, surface.height / 2 - 2 * height]
  const bar = c.before?.(frame)
  for (let y = 0; y < height; y++) {
    let p: readonly [number, number] = [0 - c.way[0] * frame, y - c.way[1] * frame]
    for (let x = 0; x < width; x++) {
      let sum = 0
      for (let k = 0; k < SIDE * SIDE; k++) {
        const [u, v] = [x + ((k % SIDE) + 0.5) / SIDE, y + (Math.floor(k / SIDE) + 0.5) / SIDE]
        p = turnedRound(c, frame, u, v, p)
        sum += 16 + (read(surface, ox + 4 * p[0], oy + 4 * p[1]) - 16) * shade(c, frame, p[0], p[1])
      }
      let value = sum / (SIDE * SIDE)
      if (bar !== undefined && x >= bar.x && x < bar.x + bar.width)
        value = 90 + 50 * Math.sin((x - bar.x) / 3) * Math.sin(y / 4)
      luma[y * width + x] = Math.max(0, Math.min(255, Math.round(value + c.noise * normal(frame, x, y))))
    }
  }
  for (const plane of out.planes.slice(1)) plane.data.fill(128)
  return out
}

/** Newton's way from a place nearby, slopes by differences. */
function turnedRound(c: Cloth, frame: number, x: number, y: number, near: readonly [number, number]) {
  let [u, v] = near
  const h = 0.01
  for (let i = 0; i < 30; i++) {
    const [p, q] = carried(c, frame, u, v)
    const [ex, ey] = [x - p, y - q]
    if (Math.abs(ex) + Math.abs(ey) < 1e-4) break
    const [px, qx] = carried(c, frame, u + h, v)
    const [py, qy] = carried(c, frame, u, v + h)
    const [a, b, d, e] = [(px - p) / h, (py - p) / h, (qx - q) / h, (qy - q) / h]
    const area = a * e - b * d
    const [du, dv] = [(ex * e - ey * b) / area, (ey * a - ex * d) / area]
    const length = Math.max(1, Math.abs(du) + Math.abs(dv))
    const held = length > 20 ? 20 / length : 1
    u += du * held
    v += dv * held
  }
  return [u, v] as const
}
