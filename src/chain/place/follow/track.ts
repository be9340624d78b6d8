import type { Mesh } from '../motion/mesh.js'

/** What came of a track. */
export interface Track {
  readonly motion: string
  /** Grid on the reference frame. */
  readonly mesh?: Mesh | undefined
  /** Ascending. */
  readonly frames: readonly TrackFrame[]
}

export interface TrackFrame {
  readonly frame: number
  readonly state?: string
  /** From the reference frame to this one. */
  readonly matrix: readonly number[]
  readonly nodes?: readonly number[] | undefined
}

/** What is known of a frame: its own, or else what lies nearest before it, or the first. */
export function knownAt({ frames }: Pick<Track, 'frames'>, n: number): TrackFrame {
  let known = frames[0] as TrackFrame
  for (const f of frames) {
    if (f.frame > n) break
    known = f
  }
  return known
}
