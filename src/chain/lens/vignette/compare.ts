/**
 * Fall-off: toward the corners the lens leaves an element as much less light as it leaves the plate.
 *
 *   stops = log2(Σ seen / Σ clean)      over the quarter of the element's pixels where the lens leaves least
 *
 *   seen   the element's light in the finished file: rendered − keep · plate
 *   clean  the same as the chain makes it, without any fall-off
 *
 * Held against the mean fall-off of the plate's lens there, which a flat frame or a hand has told. Speaks only where one of both is 0.2 stop or
 * more, and they lie 0.2 stop and a third of it apart: choices. Source: the model's.
 */
import {
  type Comparison,
  cannotTell,
  quiet,
  regionWhere,
  type Seen,
  type SeenElement,
  stops,
  telling,
} from '../../compare.js'
import { falloffAt, type Vignette } from './model.js'

const LEAST_STOPS = 0.2
const APART = 1 / 3
const LEAST_PIXELS = 200
/** Of the element's own light, linear. */
const LEAST_LIGHT = 0.01
/** Of the file's end: codes bend there. */
const NEAR_CLIP = 0.9

export interface FalloffLook {
  readonly frame: number
  /** Stops: how much darker than in the middle. */
  readonly seen: number
  readonly lens: number
  readonly region: SeenElement['region']
}

/**
 * @param lens the plate's own
 * @param applied what the chain did; undefined is nothing
 * @param clip linear value at which the file's code ends
 */
export function lookAtFalloff(
  seen: Seen,
  e: SeenElement,
  lens: Vignette,
  applied: Vignette | undefined,
  clip: number,
): FalloffLook | undefined {
  const frame = seen.plate.region
  const { width, height } = frame
  const pixels: { p: number; own: number; clean: number; left: number }[] = []
  for (let p = 0; p < width * height; p++) {
    if (e.alpha[p] === 0 && e.light[p] === 0) continue
    const keep = seen.keep[p] as number
    const light = (of: Seen['plate']) => of.data[4 * p + 1] as number
    const clean = light(seen.predicted) - keep * light(seen.plate)
    if (clean < LEAST_LIGHT || light(seen.rendered) > NEAR_CLIP * clip) continue
    const [x, y] = [p % width, Math.floor(p / width)]
    pixels.push({
      p,
      own: light(seen.rendered) - keep * light(seen.plate),
      clean: clean / (applied === undefined ? 1 : falloffAt(applied, frame, x, y)),
      left: falloffAt(lens, frame, x, y),
    })
  }
  pixels.sort((a, b) => a.left - b.left)
  const darkest = pixels.slice(0, Math.ceil(pixels.length / 4))
  if (darkest.length < LEAST_PIXELS) return undefined
  const sum = (of: (v: (typeof pixels)[0]) => number) => darkest.reduce((s, v) => s + of(v), 0)
  const clean = sum((v) => v.clean)
  const own = new Set(darkest.map((v) => v.p))
  return {
    frame: seen.frame,
    seen: Math.log2(
      Math.max(
        sum((v) => v.own),
        1e-6,
      ) / clean,
    ),
    lens: Math.log2(sum((v) => v.clean * v.left) / clean),
    region: regionWhere(width, height, (p) => own.has(p)),
  }
}

/** @param why nothing is known of the lens; undefined where it is */
export function compareFalloff(
  name: string,
  looks: readonly (FalloffLook | undefined)[],
  why: string | undefined,
): Comparison {
  if (why !== undefined) return cannotTell('fall-off', 'lens', why)
  const off = (l: FalloffLook) => l.seen - l.lens
  const known = looks.filter((l) => l !== undefined) as FalloffLook[]
  const worst = [...known].sort((a, b) => Math.abs(off(b)) - Math.abs(off(a)))[0]
  if (worst === undefined) return quiet()
  const measured = { falloff: [worst.seen] }
  const limit = (l: FalloffLook) => Math.max(LEAST_STOPS, APART * Math.abs(l.lens))
  const tells = known.filter((l) => Math.abs(off(l)) > limit(l))
  if (tells.length < known.length / 2) return quiet(measured)
  const bright = off(worst) > 0
  return telling(
    {
      tell: 'fall-off',
      link: 'lens',
      frames: tells.map((l) => l.frame),
      region: worst.region,
      unit: 'stops',
      measured: worst.seen,
      expected: worst.lens,
      limit: worst.lens + Math.sign(off(worst)) * limit(worst),
      confidence: 0.7,
      sentence: `${name} is ${stops(off(worst))} too ${bright ? 'bright' : 'dark'} toward the frame's corner: the plate's lens takes ${stops(worst.lens)} there, the element lost ${stops(worst.seen)}.`,
      cause: bright
        ? "The element's light never went through the plate's lens."
        : 'More light was taken than the lens takes, or a fall-off that the element brings was taken twice.',
      remedy:
        'Fit again with the flat frame (camera.flat) or set lens.vignette, with the lens done in full for this element.',
      contrast: Math.abs(off(worst)) / limit(worst),
    },
    measured,
  )
}
