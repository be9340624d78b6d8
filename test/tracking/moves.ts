/** Moves of a camera: hand-held unrest on top of a course. Frame 0 is the reference and does not move. */
import type { Motion } from './plate.js'

export interface Course {
  /** px a frame. */
  readonly pan?: readonly [number, number]
  /** Growth over the whole shot. */
  readonly zoom?: number
  /** Degrees over the whole shot. */
  readonly roll?: number
  /** Last row of the matrix at the end, per px. */
  readonly tilt?: readonly [number, number]
  /** Size of the unrest, px. */
  readonly unrest?: number
}

/** About the middle of a frame of this size. */
export function move(width: number, height: number, frames: number, c: Course): (frame: number) => Motion {
  return (frame) => {
    const t = frame / Math.max(1, frames - 1)
    // There and back, so that long shots keep their subject.
    const share = Math.sin((Math.PI * t) / 2) ** 2
    const s = 1 + ((c.zoom ?? 1) - 1) * share
    const angle = (((c.roll ?? 0) * Math.PI) / 180) * share
    const u = c.unrest ?? 0
    const wave = (a: number, b: number) => Math.sin(a * frame) + 0.6 * Math.sin(b * frame)
    const [px = 0, py = 0] = c.pan ?? []
    const [dx, dy] = [px * frame + u * wave(0.21, 0.53), py * frame + u * wave(0.17, 0.61)]
    const [g = 0, h = 0] = (c.tilt ?? []).map((k) => k * share)
    const [cos, sin] = [s * Math.cos(angle), s * Math.sin(angle)]
    const [x, y] = [width / 2, height / 2]
    // Moved to the middle, turned, and back.
    const middle = [cos, -sin, dx, sin, cos, dy, g!, h!, 1]
    return times(times([1, 0, x, 0, 1, y, 0, 0, 1], middle), [1, 0, -x, 0, 1, -y, 0, 0, 1])
  }
}

function times(p: Motion, q: Motion): Motion {
  const m = Array.from({ length: 9 }, (_, i) =>
    [0, 1, 2].reduce((sum, k) => sum + p[3 * Math.floor(i / 3) + k]! * q[3 * k + (i % 3)]!, 0),
  )
  return m.map((v) => v / m[8]!)
}
