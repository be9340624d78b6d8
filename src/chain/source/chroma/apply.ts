/**
 * Chroma of a subsampled file at every pixel, guided by luma: a key sees the edge where the picture has it, and not a chroma
 * sample's width beside it.
 *
 *   C(p) = Σ w·(C(q) + a(q)·(Y(p) − Y(q))) / Σ w      w = e^(−|p − q|² / 2σ²) · (e^(−(Y(p) − Y(q))² / 2s²) + ε)      over the 5×5 chroma samples around
 *
 *   a(q)  how chroma goes with luma there (`slope.ts`): a hair that fills no chroma sample has its colour all the same; what it makes stays
 *         within half their span of the samples around
 *         and then each sample's missing part is handed back to its pixels (`samples.ts`)
 *   Y(q)  luma where the chroma sample sits   σ  1.6 px   s  0.04 of the code range   ε  0.001, where no sample is alike
 *
 * Source: [kopf2007], joint bilateral upsampling; its widths are choices.
 */

import { allocateFrame, type ColourEncoding, exp, type NativeFrame, type Plane } from '../../../core/index.js'
import { meansAt, mended, type Sites, type Steps, sitesOf } from './samples.js'
import { slopesOf } from './slope.js'

const AROUND = 2
const WIDTH_PX = 1.6
const ALIKE = 0.04
const ANYHOW = 1e-3
/** How far beyond the samples around, in their span. */
const BEYOND = 0.5
/** Steps of the table of likeness, over differences of luma from none to all of the range. */
const STEPS = 1024

/**
 * The frame in 16 bits with as many chroma samples as luma ones; RGB, floats and what is not subsampled come back as they are.
 *
 * @param encoding says where chroma samples sit, and the range
 */
export function guidedChroma(
  frame: NativeFrame,
  { siting, range }: Pick<ColourEncoding, 'siting' | 'range'>,
): NativeFrame {
  const { layout, width, height } = frame
  if (layout.family !== 'yuv' || (layout.subX === 0 && layout.subY === 0)) return frame
  const top = 2 ** layout.bits - 1
  const wide = range === 'full' ? 65535 / top : 2 ** (16 - layout.bits)
  const out = allocateFrame({ ...layout, bits: 16, subX: 0, subY: 0 }, width, height)
  const [luma, ...others] = frame.planes as readonly Plane[]
  if (luma === undefined) return frame
  out.planes.forEach((plane, c) => {
    const from = frame.planes[c]
    if (from === undefined || c === 1 || c === 2) return
    for (let i = 0; i < plane.data.length; i++) plane.data[i] = Math.round(wide * (from.data[i] as number))
  })
  const [blue, red] = others
  if (blue === undefined || red === undefined) return out
  const sites = sitesOf(layout.subX, layout.subY, siting)
  spread(out, { luma, blue, red, sites, wide, top })
  return out
}

interface Given {
  readonly luma: Plane
  readonly blue: Plane
  readonly red: Plane
  readonly sites: Sites
  readonly wide: number
  readonly top: number
}

function spread(out: NativeFrame, { luma, blue, red, sites, wide, top }: Given): void {
  const [, toBlue, toRed] = out.planes
  if (toBlue === undefined || toRed === undefined) return
  const { width, height } = out
  const there = meansAt(luma, blue, sites)
  const [slopeB, slopeR] = slopesOf(there, [blue, red], top) as [Float32Array, Float32Array]
  const alike = Float64Array.from({ length: STEPS + 1 }, (_, k) => {
    const d = k / STEPS / ALIKE
    return exp(-0.5 * d * d) + ANYHOW
  })
  const scale = STEPS / top
  const madeB = { width, height, data: new Float32Array(width * height) }
  const madeR = { width, height, data: new Float32Array(width * height) }
  const near = nearness(sites.across, width)
  const rows = nearness(sites.down, height)
  const weights = rows.weights.map((down) => near.weights.map((along) => crossed(down, along)))
  const side = 2 * AROUND + 1
  const [lumas, blues, reds] = [luma.data, blue.data, red.data]
  const limitsB = limitsOf(blue)
  const limitsR = limitsOf(red)
  const { width: across, height: high } = blue
  const columns = new Int32Array(side)
  for (let y = 0, p = 0; y < height; y++) {
    const j0 = rows.firsts[y]!
    const phases = weights[y % weights.length]!
    for (let x = 0; x < width; x++, p++) {
      const i0 = near.firsts[x]!
      const weight = phases[x % phases.length]!
      for (let i = 0; i < side; i++) columns[i] = held(i0 + i, 0, across - 1)
      const own = lumas[p]!
      let [b, r, all] = [0, 0, 0]
      for (let j = 0, k = 0; j < side; j++) {
        const row = held(j0 + j, 0, high - 1) * across
        for (let i = 0; i < side; i++, k++) {
          const q = row + columns[i]!
          const off = own - there[q]!
          const w = weight[k]! * alike[Math.floor(Math.abs(off) * scale + 0.5)]!
          b += w * (blues[q]! + off * slopeB[q]!)
          r += w * (reds[q]! + off * slopeR[q]!)
          all += w
        }
      }
      // The limits of a window that lies partly beyond the picture are those of the part within.
      const middle = held(j0 + AROUND, 0, high - 1) * across + columns[AROUND]!
      madeB.data[p] = held(b / all, limitsB.least[middle]!, limitsB.most[middle]!)
      madeR.data[p] = held(r / all, limitsR.least[middle]!, limitsR.most[middle]!)
    }
  }
  for (const [made, samples, to] of [
    [madeB, blue, toBlue],
    [madeR, red, toRed],
  ] as const) {
    mended(made, samples, sites)
    for (let p = 0; p < made.data.length; p++)
      to.data[p] = Math.round(wide * Math.min(Math.max(made.data[p] as number, 0), top))
  }
}

function held(v: number, least: number, most: number): number {
  return Math.min(Math.max(v, least), most)
}

/** Half their span beyond the samples around each. */
function limitsOf({ width, height, data }: Plane): { least: Float64Array; most: Float64Array } {
  const least = new Float64Array(data.length)
  const most = new Float64Array(data.length)
  for (let j = 0, q = 0; j < height; j++)
    for (let i = 0; i < width; i++, q++) {
      let [lo, hi] = [data[q]!, data[q]!]
      for (let v = Math.max(j - AROUND, 0); v <= Math.min(j + AROUND, height - 1); v++)
        for (let u = Math.max(i - AROUND, 0); u <= Math.min(i + AROUND, width - 1); u++) {
          const s = data[v * width + u]!
          if (s < lo) lo = s
          if (s > hi) hi = s
        }
      const more = BEYOND * (hi - lo)
      least[q] = lo - more
      most[q] = hi + more
    }
  return { least, most }
}

function crossed(down: Float64Array, along: Float64Array): Float64Array {
  return Float64Array.from({ length: down.length * along.length }, (_, k) => {
    return down[Math.floor(k / along.length)]! * along[k % along.length]!
  })
}

/** Which chroma samples lie around a pixel, and how near: the same from step to step. */
function nearness({ step, first }: Steps, length: number) {
  const nearest = (p: number) => Math.round((p - first) / step)
  const weights = Array.from({ length: Math.min(step, length) }, (_, p) =>
    Float64Array.from({ length: 2 * AROUND + 1 }, (_w, k) => {
      const d = ((nearest(p) - AROUND + k) * step + first - p) / WIDTH_PX
      return exp(-0.5 * d * d)
    }),
  )
  return { firsts: Int32Array.from({ length }, (_, p) => nearest(p) - AROUND), weights }
}
