/**
 * Chroma of a subsampled file at every pixel, guided by luma: a key sees the edge where the picture has it, and not a chroma
 * sample's width beside it.
 *
 *   C(p) = Σ w·C(q) / Σ w      w = e^(−|p − q|² / 2σ²) · (e^(−(Y(p) − Y(q))² / 2s²) + ε)      over the 5×5 chroma samples around
 *
 *   Y(q)  luma where the chroma sample sits   σ  1.6 px   s  0.04 of the code range   ε  0.001, where no sample is alike
 *
 * Source: [kopf2007], joint bilateral upsampling; its widths are choices.
 */
import { allocateFrame, type ColourEncoding, exp, type NativeFrame, type Plane } from '../../../core/index.js'

const AROUND = 2
const WIDTH_PX = 1.6
const ALIKE = 0.04
const ANYHOW = 1e-3
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
  const across = stepsOf(layout.subX, sideOf(siting))
  const down = stepsOf(layout.subY, levelOf(siting))
  spread(out, { luma, blue, red, across, down, wide, top })
  return out
}

/** Step from sample to sample and place of the first one, px. */
interface Steps {
  readonly step: number
  readonly first: number
}

type Place = 'first' | 'middle' | 'last'

function stepsOf(sub: number, place: Place): Steps {
  const step = 1 << sub
  return { step, first: place === 'first' ? 0 : place === 'last' ? step - 1 : (step - 1) / 2 }
}

function sideOf(siting: ColourEncoding['siting']): Place {
  if (siting.endsWith('left')) return 'first'
  return siting.endsWith('right') ? 'last' : 'middle'
}

function levelOf(siting: ColourEncoding['siting']): Place {
  if (siting.startsWith('top')) return 'first'
  return siting.startsWith('bottom') ? 'last' : 'middle'
}

interface Given {
  readonly luma: Plane
  readonly blue: Plane
  readonly red: Plane
  readonly across: Steps
  readonly down: Steps
  readonly wide: number
  readonly top: number
}

function spread(out: NativeFrame, { luma, blue, red, across, down, wide, top }: Given): void {
  const [, toBlue, toRed] = out.planes
  if (toBlue === undefined || toRed === undefined) return
  const { width, height } = out
  const there = lumaAtChroma(luma, blue, across, down)
  const alike = Float64Array.from({ length: STEPS + 1 }, (_, k) => {
    const d = k / STEPS / ALIKE
    return exp(-0.5 * d * d) + ANYHOW
  })
  const scale = STEPS / top
  const near = nearness(across, width)
  const rows = nearness(down, height)
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
      for (let j = 0; j < side; j++) {
        const row = Math.min(Math.max(j0 + j, 0), lastRow) * blue.width
        const wy = down[j]!
        for (let i = 0; i < side; i++) {
          const q = row + (within ? i0 + i : Math.min(Math.max(i0 + i, 0), lastColumn))
          const w = wy * along[i]! * alike[Math.floor(Math.abs(own - there[q]!) * scale + 0.5)]!
          b += w * blues[q]!
          r += w * reds[q]!
          all += w
        }
      }
      toBlue.data[p] = Math.round((wide * b) / all)
      toRed.data[p] = Math.round((wide * r) / all)
    }
  }
}

/** Luma as a chroma sample sees it: the mean of what lies within half a step of it. */
function lumaAtChroma(luma: Plane, chroma: Plane, across: Steps, down: Steps): Float32Array {
  const out = new Float32Array(chroma.width * chroma.height)
  const cover = ({ step, first }: Steps, k: number) => {
    const at = k * step + first
    return step === 1 ? [[at, 1] as const] : coverOf(at, step / 2)
  }
  for (let j = 0; j < chroma.height; j++) {
    for (let i = 0; i < chroma.width; i++) {
      let [sum, all] = [0, 0]
      for (const [y, wy] of cover(down, j)) {
        const row = Math.min(Math.max(y, 0), luma.height - 1) * luma.width
        for (const [x, wx] of cover(across, i)) {
          const v = luma.data[row + Math.min(Math.max(x, 0), luma.width - 1)] as number
          sum += wy * wx * v
          all += wy * wx
        }
      }
      out[j * chroma.width + i] = sum / all
    }
  }
  return out
}

/** Pixels, each ½ to either side of its middle, and the part of them that lies within `half` of a place. */
function coverOf(at: number, half: number): (readonly [number, number])[] {
  const pixels: (readonly [number, number])[] = []
  for (let p = Math.floor(at - half); p <= Math.ceil(at + half); p++) {
    const part = Math.min(p + 0.5, at + half) - Math.max(p - 0.5, at - half)
    if (part > 0) pixels.push([p, part])
  }
  return pixels
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
