/** The plate's shutter by the streaks of what moves in it. */

import { at, normalised } from '../../chain/place/motion/matrix.js'
import type { GrainSample } from '../../chain/sensor/grain/measure.js'
import { agreedAngle, type OnBoth } from '../../chain/shutter/angle/agree.js'
import { type Moving, measureAngle } from '../../chain/shutter/angle/measure.js'
import { luminanceRow } from '../../colour/index.js'
import type { FloatImage, Reading, Region, Rgb } from '../../core/index.js'
import type { Window } from '../../kernels/index.js'
import type { SourceInfo } from '../../media/index.js'
import type { Shot } from '../../shot/schema.js'
import { type Grey, openVision } from '../../vision/index.js'
import { cached } from '../cache/cached.js'
import type { Cache } from '../cache/store.js'
import { type ShotSources, shotRange } from '../plan.js'
import { type PlateSamples, plateSamples } from '../samples.js'
import { factsOf } from '../sources.js'
import { type Luma, smallFactor, smallGrey } from '../track/luma.js'
import type { TracksFound } from '../tracks.js'
import { holdsStill, type MovingPart, movingParts, SLOWEST } from './windows.js'

/** Pairs of frames and parts of each that are looked at: more of one camera tell hardly more. */
const PAIRS = 3
const PARTS = 3

/**
 * On the frames where its tracks go fast; else on the samples.
 *
 * @param shot its elements are not looked at
 */
export async function plateAngle(
  shot: Shot,
  { plate, tracks }: Pick<ShotSources, 'plate' | 'tracks'>,
  samples: PlateSamples,
  cache: Cache | undefined,
): Promise<Reading<number>> {
  const { first } = shotRange(shot, plate.info.frameCount)
  const fast = fastest(shot, plate.info, tracks).map((n) => first + n)
  const picked = fast.length === 0 ? samples : plateSamples(plate, fast)
  const key = {
    kind: 'shutter',
    of: [plate.content],
    how: { numbers: picked.numbers, plate: factsOf(plate) },
  }
  const row = luminanceRow(plate.info.encoding.primaries)
  return cached(cache, key, async () => angleOf(await picked.read(), row))
}

/** Frames of the shot from which its tracks go fastest, no two beside each other. */
function fastest(shot: Shot, { width, height }: SourceInfo, tracks: TracksFound): number[] {
  const steps = shot.tracks.flatMap(({ id, region, points }) => {
    const found = tracks[id]
    if (found === undefined || 'problem' in found) return []
    const [x, y] = middleOf(region ?? points ?? [[width / 2, height / 2]])
    const seen = found.track.frames.filter((f) => f.state !== 'lost')
    return seen.slice(1).flatMap((f, i) => {
      const before = seen[i] as typeof f
      if (f.frame !== before.frame + 1) return []
      const [a, b] = [at(normalised(before.matrix), x, y), at(normalised(f.matrix), x, y)]
      return [{ frame: before.frame, speed: Math.hypot(b[0] - a[0], b[1] - a[1]) }]
    })
  })
  const picked: number[] = []
  for (const { frame, speed } of steps.sort((a, b) => b.speed - a.speed))
    if (speed >= SLOWEST && picked.length < PAIRS && picked.every((n) => Math.abs(n - frame) > 1))
      picked.push(frame)
  return picked.sort((a, b) => a - b)
}

function middleOf(places: readonly (readonly [number, number])[]): readonly [number, number] {
  const mean = (c: 0 | 1) => places.reduce((sum, p) => sum + p[c], 0) / places.length
  return [mean(0), mean(1)]
}

/** A pair of frames and the parts of it that move. */
interface Pair {
  readonly sample: GrainSample
  readonly after: FloatImage
  readonly parts: readonly MovingPart[]
}

/** @param row of luminance */
export async function angleOf(samples: readonly GrainSample[], row: Rgb): Promise<Reading<number>> {
  const looked = samples.flatMap((sample) => {
    const { image, after } = sample
    if (after === undefined) return []
    const { width, height } = image.region
    const factor = smallFactor(width, height)
    const greys = [image, after].map((i) => smallGrey(lumaOfLight(i, row), factor)) as [Grey, Grey]
    return holdsStill(...greys, factor, width, height) ? [] : [{ sample, after, greys, factor }]
  })
  if (looked.length === 0) return { cannotTell: 'nothing moves in the frames that were looked at' }
  const vision = await openVision()
  const pairs = looked.map(({ sample, after, greys, factor }): Pair => {
    const parts = movingParts(vision, greys, factor, sample.image.region)
    return { sample, after, parts: parts.slice(0, PARTS) }
  })
  const speed = ({ parts: [one] }: Pair) => (one === undefined ? 0 : Math.hypot(one.moving.x, one.moving.y))
  const fast = pairs.filter((p) => p.parts.length > 0).sort((a, b) => speed(b) - speed(a))
  if (fast.length === 0)
    return {
      cannotTell: `no part of it moves as one by ${SLOWEST} px a frame: no streak of half the time shows`,
    }
  const readings = fast.slice(0, PAIRS).flatMap(({ sample, after, parts }) =>
    parts.map(({ region, moving }): OnBoth => {
      const gone = moved(region, moving, after.region)
      return [
        measureAngle(windowOf(sample.image, region, row), moving, sample.frame, region),
        measureAngle(windowOf(after, gone, row), moving, sample.frame, gone),
      ]
    }),
  )
  return agreedAngle(readings)
}

/** Where a part has gone, as far as the frame holds it. */
function moved(region: Region, { x, y }: Moving, frame: Region): Region {
  const within = (v: number, most: number) => Math.min(Math.max(Math.round(v), 0), most)
  return {
    ...region,
    x: within(region.x + x, frame.width - region.width),
    y: within(region.y + y, frame.height - region.height),
  }
}

function windowOf(image: FloatImage, region: Region, row: Rgb): Window {
  const { width, height } = region
  const values = new Float64Array(width * height)
  for (let y = 0, p = 0; y < height; y++) {
    for (let x = 0; x < width; x++, p++) {
      values[p] = lightAt(image, (region.y + y) * image.region.width + region.x + x, row)
    }
  }
  return { width, height, values }
}

function lightAt({ data }: FloatImage, p: number, [r, g, b]: Rgb): number {
  return r * (data[4 * p] as number) + g * (data[4 * p + 1] as number) + b * (data[4 * p + 2] as number)
}

/** Bent as a camera would, or the shadows would hold no detail; 1 comes to 255. */
function lumaOfLight(image: FloatImage, row: Rgb): Luma {
  const { width, height } = image.region
  const data = new Float32Array(width * height)
  for (let p = 0; p < data.length; p++)
    data[p] = Math.min(255, 255 * Math.sqrt(Math.max(lightAt(image, p, row), 0)))
  return { width, height, data, step: 1 }
}
