/**
 * The world `three-depths`: a camera carried by hand past a ledge near by, a wall in the middle and a hillside far off, and a bush
 * that has depth of its own. A lens of 48 mm before a sensor 36 mm wide. Metres, pixels with edges at whole numbers; x right, y
 * down, z ahead.
 */
import { between } from '../chance.js'

export const DEPTHS = { near: 2.5, middle: 6, far: 20 } as const
export type Depth = keyof typeof DEPTHS

export interface Pose {
  /** Where the lens is, m. */
  readonly right: number
  readonly down: number
  readonly forward: number
  /** Turned to the right, and up, radians. */
  readonly pan: number
  readonly tilt: number
}

export interface DepthsSetting {
  readonly seed: number
  readonly width: number
  readonly height: number
  readonly frames: number
  readonly focalPx: number
  readonly poses: readonly Pose[]
  readonly bush: {
    readonly distanceM: number
    readonly depthM: number
    /** Its picture from the first frame, pixels of the plate. */
    readonly left: number
    readonly top: number
    readonly size: number
  }
  /** Standard deviation of the plate's noise, share of full code. */
  readonly noise: number
}

export interface DepthsOptions {
  readonly width?: number
  readonly frames?: number
}

export function depthsSetting(seed: number, { width = 384, frames = 24 }: DepthsOptions = {}): DepthsSetting {
  const px = width / 384
  const vary = (v: number, k: number) => v * between(0.85, 1.15, seed, k, 900)
  const m = {
    go: vary(0.34, 1),
    bob: vary(0.02, 2),
    lean: vary(0.06, 3),
    pan: vary(0.017, 4),
    tilt: vary(0.008, 5),
  }
  const poses = Array.from({ length: frames }, (_, k): Pose => {
    const t = frames === 1 ? 0 : k / (frames - 1)
    const wave = (turns: number) => Math.sin(2 * Math.PI * turns * t)
    // A step to the side, with what hands and feet do to it.
    return {
      right: m.go * t * t * (3 - 2 * t) + 0.012 * wave(1.7),
      down: m.bob * wave(1.9),
      forward: m.lean * wave(0.6),
      pan: m.pan * wave(0.55),
      tilt: m.tilt * wave(1.3),
    }
  })
  return {
    seed,
    width,
    height: Math.round((width * 9) / 16),
    frames,
    focalPx: (48 / 36) * width,
    poses,
    bush: { distanceM: DEPTHS.middle, depthM: 0.6, left: 96 * px, top: 30 * px, size: 110 * px },
    noise: 0.006,
  }
}

type Vector = readonly [number, number, number]

/** A way in the camera's own directions as the world has it: tilted first, then panned. */
export function toWorld({ pan, tilt }: Pose, [x, y, z]: Vector): Vector {
  const [ct, st, cp, sp] = [Math.cos(tilt), Math.sin(tilt), Math.cos(pan), Math.sin(pan)]
  const [y1, z1] = [y * ct - z * st, y * st + z * ct]
  return [x * cp + z1 * sp, y1, z1 * cp - x * sp]
}

/** The way back. */
export function toCamera({ pan, tilt }: Pose, [x, y, z]: Vector): Vector {
  const [ct, st, cp, sp] = [Math.cos(tilt), Math.sin(tilt), Math.cos(pan), Math.sin(pan)]
  const [x1, z1] = [x * cp - z * sp, x * sp + z * cp]
  return [x1, y * ct + z1 * st, z1 * ct - y * st]
}

/** Pixel in which a place of the world shows. */
export function shows(s: DepthsSetting, pose: Pose, p: Vector): readonly [number, number] {
  const [x, y, z] = toCamera(pose, [p[0] - pose.right, p[1] - pose.down, p[2] - pose.forward])
  return [s.width / 2 + (s.focalPx * x) / z, s.height / 2 + (s.focalPx * y) / z]
}
