/**
 * A plain colour-difference key, in code values or in light, with no work at edges:
 *
 *   m = G − (w·max(R, B) + (1 − w)·min(R, B))      α = (most − m / m of the screen) / (most − least), held to 0 and 1
 *   light without the screen: C − (1 − α)·screen, its green held to the mean or the greater of red and blue
 *
 * One colour of the screen for the clip, the median of what is truly bare. All settings are searched for the least error against the
 * truth. Source: [smith1996] for the difference; the rest common practice.
 */
import type { Truth } from './case.js'
import { codesOf, lightOf, medianOf, type Planes } from './clip.js'

export interface Keyed {
  /** What came of the search. */
  readonly settings: string
  /** A frame each: premultiplied linear light and alpha. */
  readonly frames: readonly Float32Array[]
}

interface Settings {
  readonly linear: boolean
  readonly w: number
  readonly least: number
  readonly most: number
}

/** @param cost of premultiplied frames: picks the way green is held */
export function plainKey(
  clip: readonly Planes[],
  truth: readonly Truth[],
  cost: (frames: Float32Array[]) => number,
): Keyed {
  const codes = clip.map(codesOf)
  const lights = codes.map((c) => c.map((v) => lightOf(Math.max(v, 0))))
  const right = inBand(
    truth.map((t) => t.alpha),
    truth,
  )
  let best: Settings & { sad: number } = {
    sad: Number.POSITIVE_INFINITY,
    linear: false,
    w: 1,
    least: 0,
    most: 1,
  }
  for (const linear of [false, true])
    for (const w of [0.5, 0.75, 1]) {
      const shares = inBand(sharesOf(linear ? lights : codes, w, truth), truth)
      const asked = (least: number, most: number) => {
        let sad = 0
        for (let k = 0; k < right.length; k++) sad += Math.abs(held(shares[k], least, most) - right[k])
        if (sad < best.sad) best = { sad, linear, w, least, most }
      }
      for (let least = -0.3; least < 0.45; least += 0.05)
        for (let most = 0.5; most <= 1.01; most += 0.05) asked(least, most)
    }
  const { linear, w, least, most } = best
  const alphas = sharesOf(linear ? lights : codes, w, truth).map((m) => m.map((v) => held(v, least, most)))
  const screen = [0, 1, 2].map((c) => bareMedian(lights, truth, (l, p) => l[3 * p + c]))
  const ways = [0.5, 1].map((hold) => lights.map((l, k) => taken(l, alphas[k], screen, hold)))
  const frames = ways.reduce((a, b) => (cost(b) < cost(a) ? b : a))
  return { settings: JSON.stringify(best), frames }
}

function held(share: number, least: number, most: number): number {
  return Math.min(Math.max((most - share) / (most - least), 0), 1)
}

/** The values of all frames in the band. */
function inBand(frames: readonly Float32Array[], truth: readonly Truth[]): Float32Array {
  const parts = frames.map((f, k) => f.filter((_, p) => truth[k].band[p] === 1))
  const all = new Float32Array(parts.reduce((n, p) => n + p.length, 0))
  parts.reduce((at, p) => {
    all.set(p, at)
    return at + p.length
  }, 0)
  return all
}

function sharesOf(frames: readonly Float32Array[], w: number, truth: readonly Truth[]): Float32Array[] {
  const difference = (d: Float32Array, p: number) => {
    const [r, g, b] = [d[3 * p], d[3 * p + 1], d[3 * p + 2]]
    return g - w * Math.max(r, b) - (1 - w) * Math.min(r, b)
  }
  const own = bareMedian(frames, truth, difference)
  return frames.map((d) => Float32Array.from({ length: d.length / 3 }, (_, p) => difference(d, p) / own))
}

function bareMedian(
  frames: readonly Float32Array[],
  truth: readonly Truth[],
  of: (d: Float32Array, p: number) => number,
): number {
  const values: number[] = []
  frames.forEach((d, k) => {
    for (let p = 0; p < truth[k].alpha.length; p += 17) if (truth[k].alpha[p] === 0) values.push(of(d, p))
  })
  return medianOf(values)
}

function taken(
  light: Float32Array,
  alpha: Float32Array,
  screen: readonly number[],
  hold: number,
): Float32Array {
  const out = new Float32Array(4 * alpha.length)
  for (let p = 0; p < alpha.length; p++) {
    const [r, g, b] = [0, 1, 2].map((c) => Math.max(light[3 * p + c] - (1 - alpha[p]) * screen[c], 0))
    const most = hold * Math.max(r, b) + (1 - hold) * Math.min(r, b)
    out.set([r, Math.min(g, most), b, alpha[p]], 4 * p)
  }
  return out
}
