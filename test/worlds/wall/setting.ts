/**
 * The world `green-wall`: somebody with loose hair and a fringed scarf before an uneven green wall, standing still or waving. Lengths
 * are in units: a 960th of the picture's width; x right, y down. Time is in frames.
 */

export interface WallSetting {
  readonly seed: number
  readonly width: number
  readonly height: number
  readonly frames: number
  /** Pixels a unit. */
  readonly scale: number
  /** Waves, sways, and hair and scarf swing; else only breathes. */
  readonly moving: boolean
  /** Black hair and dark clothes instead of fair ones. */
  readonly dark: boolean
  /** Part of a frame for which the shutter is open: 180°. */
  readonly shutter: number
  /** Variance of linear light a unit of it, and without any. */
  readonly noise: { readonly photon: number; readonly read: number }
  readonly crf: number
}

export interface WallOptions {
  readonly seed?: number
  readonly width?: number
  readonly frames?: number
  readonly moving?: boolean
  readonly dark?: boolean
}

/** 16:9; width a multiple of 32 gives whole rows. */
export function wallSetting({
  seed = 1,
  width = 960,
  frames = 5,
  moving = false,
  dark = false,
}: WallOptions = {}): WallSetting {
  return {
    ...{ seed, width, height: (width * 9) / 16, frames, scale: width / 960, moving, dark },
    ...{ shutter: 0.5, noise: { photon: 1.1e-4, read: 1.5e-6 }, crf: 16 },
  }
}

/** The arm swings about the elbow as a sine: at its middle the fingertips, 175 units away, pass at 60 units a frame. */
const SWING = { middle: 0.12, reach: 0.76, period: (2 * Math.PI * 0.76 * 175) / 60 }

/** Angle of the forearm from upright, radians; mid-swing falls into the middle of the clip's frames. */
export function swingAt(s: WallSetting, time: number): number {
  if (!s.moving) return SWING.middle + 0.002 * Math.sin(0.8 * time)
  const middle = (s.frames - 1) / 2 + s.shutter / 2
  return SWING.middle + SWING.reach * Math.sin((2 * Math.PI * (time - middle)) / SWING.period)
}

/** Where the body stands beside its place: breath, or a sway of a few units a frame. */
export function bodyAt(s: WallSetting, time: number): readonly [number, number] {
  if (!s.moving) return [0.15 * Math.sin(0.7 * time), 0.25 * Math.sin(0.5 * time)]
  return [14 * Math.sin(0.33 * time + 0.4), 3 * Math.sin(0.6 * time)]
}

/** How far loose ends are blown aside, 0 at rest. */
export function windAt(s: WallSetting, time: number, phase: number): number {
  const wave = Math.sin((s.moving ? 0.75 : 0.3) * time + phase)
  return (s.moving ? 9 : 0.5) * wave
}
