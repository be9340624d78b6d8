/**
 * The world `rolling-shake`: a painted panel that is carried past a far wall, before a camera that shakes and reads its rows one after
 * the other. The wall is so far that the camera's turning moves all of it alike. Pixels with edges at whole numbers, right and down;
 * time in frames, 0 in the middle of the first one's exposure of the middle row.
 */
import { between } from '../chance.js'

export interface ShakeSetting {
  readonly seed: number
  readonly width: number
  readonly height: number
  readonly frames: number
  /** Frame on which the camera is level. */
  readonly level: number
  /** Share of a frame's time that a row is open, and that all rows take to be read. */
  readonly open: number
  readonly readout: number
  /** What the shake is made of: px or radians, turns a frame, and where it begins. */
  readonly waves: readonly {
    readonly axis: 'x' | 'y' | 'roll'
    readonly by: number
    readonly turns: number
    readonly phase: number
  }[]
  readonly panel: {
    /** Middle on the level frame, and px a frame. */
    readonly x: number
    readonly y: number
    readonly right: number
    readonly down: number
    readonly width: number
    readonly height: number
  }
  readonly noise: number
  /** How the camera's way is followed. */
  readonly motion: 'similarity' | 'affine'
}

export interface ShakeOptions extends Partial<Pick<ShakeSetting, 'motion'>> {
  readonly width?: number
  readonly frames?: number
  /** Light gathered a pixel. */
  readonly samples?: number
}

export function shakeSetting(
  seed: number,
  { width = 384, frames = 16, motion = 'similarity' }: ShakeOptions = {},
): ShakeSetting {
  const px = width / 384
  const vary = (v: number, k: number) => v * between(0.85, 1.15, seed, k, 700)
  const wave = (axis: 'x' | 'y' | 'roll', by: number, turns: number, k: number) => ({
    axis,
    by: vary(by, k),
    turns: vary(turns, k + 20),
    phase: between(0, 2 * Math.PI, seed, k, 701),
  })
  const height = Math.round((width * 9) / 16)
  return {
    ...{ seed, width, height, frames, level: frames >> 1, open: 0.5, readout: 0.5 },
    waves: [
      wave('x', 9 * px, 0.11, 1),
      wave('x', 3 * px, 0.23, 2),
      wave('y', 7 * px, 0.13, 3),
      wave('y', 2.5 * px, 0.26, 4),
      wave('roll', 0.02, 0.12, 5),
    ],
    panel: {
      ...{ x: width / 2, y: 0.52 * height, right: vary(17, 6) * px, down: vary(3, 7) * px },
      ...{ width: 86 * px, height: 118 * px },
    },
    noise: 0.004,
    motion,
  }
}

type Place = readonly [number, number]

/** How the camera lies at a time: it is level on its level frame. */
function lies(s: ShakeSetting, t: number) {
  const sum = (axis: string, at: number) =>
    s.waves
      .filter((w) => w.axis === axis)
      .reduce((a, w) => a + w.by * Math.sin(2 * Math.PI * w.turns * at + w.phase), 0)
  const off = (axis: string) => sum(axis, t) - sum(axis, s.level)
  return { x: off('x'), y: off('y'), roll: off('roll') }
}

/** The motion of the wall's picture from the level frame to a time, row by row. */
export function wallMatrix(s: ShakeSetting, t: number): number[] {
  const { x, y, roll } = lies(s, t)
  const [c, k] = [Math.cos(roll), Math.sin(roll)]
  const [mx, my] = [s.width / 2, s.height / 2]
  return [c, -k, mx + x - c * mx + k * my, k, c, my + y - k * mx - c * my, 0, 0, 1]
}

/** What of the level frame's picture shows at a place at a time. */
export function levelled(s: ShakeSetting, t: number): (x: number, y: number) => Place {
  const [a, b, c, d, e, f] = wallMatrix(s, t) as [number, number, number, number, number, number]
  const det = a * e - b * d
  return (x, y) => {
    const [u, v] = [x - c, y - f]
    return [(e * u - b * v) / det, (a * v - d * u) / det]
  }
}

/** Middle of the panel on the level frame's picture. */
export function panelAt({ panel, level }: ShakeSetting, t: number): Place {
  return [panel.x + panel.right * (t - level), panel.y + panel.down * (t - level)]
}
