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
  const [slopeB, slopeR] = [slopesOf(there, blue, top), slopesOf(there, red, top)]
  const alike = Float64Array.from({ length: STEPS + 1 }, (_, k) => {
    const d = k / STEPS / ALIKE
    return exp(-0.5 * d * d) + ANYHOW
  })
  const scale = STEPS / top
  const madeB = { width, height, data: new Float32Array(width * height) }
  const madeR = { width, height, data: new Float32Array(width * height) }
  const near = nearness(sites.across, width)
  const rows = nearness(sites.down, height)
  const side = 2 * AROUND + 1
  const [lumas, blues, reds] = [luma.data, blue.data, red.data]
  const [lastColumn, lastRow] = [blue.width - 1, blue.height - 1]
  for (let y = 0, p = 0; y < height; y++) {
    const j0 = rows.firsts[y]!
    const down = rows.weights[y % rows.weights.length]!
    for (let x = 0; x < width; x++, p++) {
      const i0 = near.firsts[x]!
      const along = near.weights[x % near.weights.length]!
      const within = i0 >= 0 && i0 + side <= blue.width
      const own = lumas[p]!
      let [b, r, all] = [0, 0, 0]
      let [leastB, mostB, leastR, mostR] = [top, 0, top, 0]
      for (let j = 0; j < side; j++) {
        const row = Math.min(Math.max(j0 + j, 0), lastRow) * blue.width
        const wy = down[j]!
        for (let i = 0; i < side; i++) {
          const q = row + (within ? i0 + i : Math.min(Math.max(i0 + i, 0), lastColumn))
          const off = own - there[q]!
          const w = wy * along[i]! * alike[Math.floor(Math.abs(off) * scale + 0.5)]!
          const [vb, vr] = [blues[q]!, reds[q]!]
          b += w * (vb + off * slopeB[q]!)
          r += w * (vr + off * slopeR[q]!)
          all += w
          if (vb < leastB) leastB = vb
          if (vb > mostB) mostB = vb
          if (vr < leastR) leastR = vr
          if (vr > mostR) mostR = vr
        }
      }
      madeB.data[p] = held(b / all, leastB, mostB)
      madeR.data[p] = held(r / all, leastR, mostR)
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

/** Within half their span of the samples around. */
function held(v: number, least: number, most: number): number {
  const more = BEYOND * (most - least)
  return Math.min(Math.max(v, least - more), most + more)
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
