/**
 * Following 12 points and one plane over 1080p frames, decoding aside, against the library called directly on the same grey frames:
 * Lucas–Kanade there and back with its usual four levels for as many places, and a homography. `ratio` says how many times longer
 * ours takes.
 */

import { findPlaces } from '../../src/engine/track/find.js'
import type { Ask } from '../../src/engine/track/follower.js'
import { type Luma, lumaOf } from '../../src/engine/track/luma.js'
import { lookAt, newMark } from '../../src/engine/track/mark.js'
import { PlaneFollower } from '../../src/engine/track/plane.js'
import { PointsFollower } from '../../src/engine/track/points.js'
import { Scene } from '../../src/engine/track/scene.js'
import { noiseOf } from '../../src/engine/track/texture.js'
import { followBoth, homographyOf, openVision, type Place } from '../../src/vision/index.js'
import { move } from '../tracking/moves.js'
import { plateOf } from '../tracking/plate.js'
import { plaster } from '../tracking/texture.js'
import { compared, type Row, type Timed, watch } from './timing.js'

const FRAMES = 9
const POINTS = 12
const OUTLINE: readonly Place[] = [
  [600, 300],
  [1300, 310],
  [1280, 800],
  [610, 790],
]
const STRAIGHT = { straight: (p: Place) => p, filmed: (p: Place) => p }
/** The library's own defaults. */
const USUAL = { window: 21, levels: 3 }

export async function trackRow(rounds: number): Promise<Row> {
  const size = { width: 1920, height: 1080 }
  const motion = move(size.width, size.height, FRAMES, { pan: [2.3, -1.1], unrest: 3, zoom: 1.02 })
  const lumas: Luma[] = []
  const plate = plateOf({ ...size, frames: FRAMES, surface: plaster(3000, 2000), motion, noise: 1 })
  for await (const frame of plate.frames()) lumas.push(lumaOf(frame))
  const vision = await openVision()
  const first = lumas[0] as Luma
  const noise = noiseOf(first)
  const ask: Ask = { vision, lens: STRAIGHT, noise, reference: 0, corrections: [] }
  const all = { x: 0, y: 0, ...size }
  const places = findPlaces(vision, first, noise, all, () => true)
  const points = places.slice(0, POINTS)
  const begin = () => {
    const scene = new Scene(vision)
    scene.begin(first, 0)
    const marks = points.map(({ at, window }) => newMark(at, lookAt(first, 0, at, window)))
    return {
      scene,
      followers: [new PointsFollower(ask, first, marks), new PlaneFollower(ask, first, OUTLINE)],
    }
  }
  const count = begin().followers[1]?.marks.length ?? 0
  const [ours, theirs]: [Timed[], Timed[]] = [[], []]
  for (let round = 0; round <= rounds; round++) {
    const { scene, followers } = begin()
    let stop = watch()
    for (const [frame, luma] of lumas.entries()) {
      if (frame === 0) continue
      const asked = followers.map((f) => f.places())
      const step = scene.step(luma, frame, asked.flat())
      let at = 0
      followers.forEach((f, i) => {
        const own = step.places.slice(at, at + (asked[i] as readonly Place[]).length)
        at += own.length
        f.next(luma, frame, { ...step, places: own })
      })
    }
    const mine = stop()
    let now: readonly Place[] = places.slice(0, POINTS + count).map((p) => p.at)
    stop = watch()
    for (let i = 1; i < lumas.length; i++) {
      const [a, b] = [grey(lumas[i - 1] as Luma), grey(lumas[i] as Luma)]
      const next = followBoth(vision, a, b, now, now, USUAL).map((f) => f.at)
      homographyOf(vision, now.slice(POINTS), next.slice(POINTS), 1)
      now = next
    }
    const its = stop()
    if (round > 0) {
      ours.push(mine)
      theirs.push(its)
    }
  }
  return {
    name: 'track-1080p',
    size: '1920x1080',
    ...compared(ours, 'opencv-js', theirs, (a, b) => a / b, FRAMES - 1),
  }
}

function grey({ width, height, data }: Luma) {
  return { width, height, data: data as Uint8Array }
}
