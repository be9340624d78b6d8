/**
 * An element over what should hide it: something of the plate that is nearer than the element lies under it.
 *
 * Two ways to know. By the site's depth map, where the element has a distance: it covers what the map puts at less than 0.85 of that.
 * By what passes: where the plate's own ground at the element's foot is hidden for a while, whatever hides it is nearer than that
 * ground, and so than the element; if the finished file shows the element there all the same, it lies over it. Behind its middle
 * things may pass on either side: of those nothing is said. Limits are choices: a hundredth of the element, three frames.
 */
import type { Region } from '../../../core/index.js'
import { type Comparison, quiet, telling, type Verdict } from '../../compare.js'

export const NEARER = 0.85
const SHARE = 0.01
const FRAMES = 3

/** One frame on which an element is held against a depth map. */
export interface DepthLook {
  readonly frame: number
  /** Of what it covers, the share that the map puts before it; and the median distance of that, m. */
  readonly share: number
  readonly metres: number
  readonly region: Region
}

export function compareDepth(name: string, distanceM: number, looks: readonly DepthLook[]): Comparison {
  const over = looks.filter((l) => l.share > SHARE)
  const worst = over.reduce<DepthLook | undefined>((a, b) => (a && a.share >= b.share ? a : b), undefined)
  const measured = { nearer: [Math.max(0, ...looks.map((l) => l.share))] }
  if (worst === undefined) return quiet(measured)
  return one(measured, {
    frames: over.map((l) => l.frame),
    region: worst.region,
    unit: 'share',
    measured: worst.share,
    limit: SHARE,
    confidence: 0.7,
    sentence: `${name} covers what stands before it: ${percent(worst.share)} of it lies over things about ${worst.metres.toFixed(1)} m away, and it stands at ${distanceM.toFixed(1)} m.`,
    cause: 'By the depth map of the site they are nearer than the element, and nothing holds it out there.',
    remedy:
      'Let the depth map hide it (`holdout.depth`), draw a shape with its distance, or correct the distance.',
    contrast: Math.min(worst.share / SHARE, 20),
  })
}

/** A run of frames on which the ground at an element's foot is hidden in the plate. */
export interface Passing {
  readonly frames: readonly number[]
  readonly region: Region
  /** By how much the finished file differs there from the plate, in code values 0 to 1; the share of it that is grain and coding. */
  readonly differs: number
  readonly least: number
  /** Correlation of the place with what it looked like, lowest of the run. */
  readonly alike: number
}

export function comparePassing(name: string, all: readonly Passing[]): Comparison {
  const over = all.filter((p) => p.frames.length >= FRAMES && p.differs > p.least)
  const worst = over.reduce<Passing | undefined>(
    (a, b) => (a && a.frames.length >= b.frames.length ? a : b),
    undefined,
  )
  const count = (of: readonly Passing[]) => [of.reduce((sum, p) => sum + p.frames.length, 0)]
  const measured = { passes: count(all), passesUnder: count(over) }
  if (worst === undefined) return quiet(measured)
  const [first, last] = [worst.frames[0], worst.frames.at(-1)]
  return one(measured, {
    frames: worst.frames,
    region: worst.region,
    unit: 'frames',
    measured: worst.frames.length,
    limit: FRAMES - 1,
    confidence: 0.6,
    sentence: `Something passes before the foot of ${name} on frames ${first} to ${last}, and ${name} lies over it.`,
    cause: 'What hides the ground that it stands on is nearer than the ground, and so than the element.',
    remedy: `Draw a shape around what passes, or give a matte, and let it hide ${name} (\`holdout\`).`,
    contrast: worst.frames.length / FRAMES,
  })
}

function one(measured: Comparison['measured'], v: Omit<Verdict, 'tell' | 'link' | 'expected'>): Comparison {
  return telling({ tell: 'over-nearer', link: 'place', expected: 0, ...v }, measured)
}

function percent(v: number): string {
  return `${(100 * v).toFixed(v < 0.1 ? 1 : 0)} %`
}
