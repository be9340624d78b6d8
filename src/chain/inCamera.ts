/**
 * The code-domain part of the sensor link: what the plate's camera does after its curve, done to a layer that was just laid over.
 *
 *   luma smeared, then sharpened; chroma softened; the grain, which was measured behind all of that, comes after
 *
 * Only what the layer brought is worked on, and the edge between it and the plate on both sides (`sensor/detail.ts`). How much of the
 * plate's own detail stands in the picture follows from how steep the curve is at both levels:  k = keep · slope(before) / slope(after).
 */
import type { LumaWeights } from '../colour/index.js'
import { type FloatImage, grow, intersect, isEmpty, type Region, type Rgb } from '../core/index.js'
import { type CurveTables, copyImage, cropImage, curved, gaussianReach, newFloats } from '../kernels/index.js'
import type { Both } from './sensor/detail.js'
import { plateVariance } from './sensor/grain/apply.js'
import type { GrainModel } from './sensor/grain/model.js'
import { type Sharpen, sharpen } from './sensor/sharpening/apply.js'
import { SMEAR_RADIUS, smear } from './sensor/smearing/apply.js'
import { softenChroma } from './sensor/softChroma/apply.js'

/** The plate's own code values. */
export interface CodeDomain {
  readonly encode: CurveTables
  readonly decode: CurveTables
  /** Light per code at even steps of code, 0 to 1. */
  readonly slope: Float32Array
  readonly luma: LumaWeights
}

/** What is done to one element. */
export interface InCamera {
  /** Threshold in σ of the grain; 0 smears nothing. */
  readonly smear: number
  readonly sharpen: Sharpen | undefined
  /** σ in px by which chroma is softened. */
  readonly chroma: number | undefined
}

const STEPS = 1024
/** Code values: what changes by less than a tenth of a step of ten bits is left as it is. */
const LEAST = 1e-4
/** More of the plate's detail does not stand in a picture than this: the curve's slope at black is no measure. */
const MOST_KEPT = 1.5

/** @param decode code to light of luma */
export function slopesOf(decode: (code: number) => number): Float32Array {
  return Float32Array.from({ length: STEPS + 1 }, (_, i) => {
    const code = i / STEPS
    return Math.max(STEPS * (decode(code + 0.5 / STEPS) - decode(code - 0.5 / STEPS)), 1e-6)
  })
}

/** Pixels around a pixel that can change it. */
export function inCameraReach(c: InCamera | undefined): number {
  if (c === undefined) return 0
  const smeared = c.smear > 0 ? gaussianReach(SMEAR_RADIUS) : 0
  const sharpened = c.sharpen === undefined ? 0 : gaussianReach(c.sharpen.radius)
  return Math.max(smeared + sharpened, c.chroma === undefined ? 0 : gaussianReach(c.chroma))
}

/** The picture before a layer is laid over it, as far as that one's processing looks. */
export function beforeLayer(light: FloatImage, layer: Region, c: InCamera): FloatImage {
  const region = intersect(grow(layer, inCameraReach(c)), light.region)
  const part = cropImage(light, region)
  return part === light ? copyImage(light) : part
}

/**
 * In place on the light and what it marks as touched.
 *
 * @param before the picture without the layer @param keep how much of each pixel of `light` is not the layer's
 */
export function asFilmed(
  { light, touched }: { readonly light: FloatImage; readonly touched: Uint8Array },
  before: FloatImage,
  keep: Float32Array,
  c: InCamera,
  domain: CodeDomain,
  grain: GrainModel | undefined,
): void {
  const { region } = before
  if (isEmpty(region)) return
  const now = cropImage(light, region)
  const [after, code] = [curved(now, domain.encode), curved(before, domain.encode)]
  const [y, cb, cr] = planesOf(after, code, domain.luma)
  const kept = newFloats(y.after.length)
  const from = region.y - light.region.y
  eachPixel(region, light.region.width, region.x - light.region.x + from * light.region.width, (p, q) => {
    const ratio = slopeAt(domain, y.before[p] as number) / slopeAt(domain, y.after[p] as number)
    kept[p] = Math.min((keep[q] as number) * ratio, MOST_KEPT)
  })
  const first = y.after.slice()
  if (c.smear > 0 && grain !== undefined) smear(y, kept, codeSigma(now, y.after, grain, domain), c.smear)
  if (c.sharpen !== undefined) sharpen(y, kept, c.sharpen)
  const chroma = [cb, cr].map((plane) => {
    const own = plane.after.slice()
    if (c.chroma !== undefined) softenChroma(plane, kept, c.chroma)
    return own
  })
  const { kr, kb } = domain.luma
  const { data } = after
  const changed = new Uint8Array(first.length)
  for (let p = 0, i = 0; p < first.length; p++, i += 4) {
    const d = (y.after[p] as number) - (first[p] as number)
    const blue = 2 * (1 - kb) * ((cb.after[p] as number) - (chroma[0]?.[p] as number))
    const red = 2 * (1 - kr) * ((cr.after[p] as number) - (chroma[1]?.[p] as number))
    const green = -(kr * red + kb * blue) / (1 - kr - kb)
    if (Math.max(Math.abs(d + red), Math.abs(d + green), Math.abs(d + blue)) < LEAST) continue
    changed[p] = 1
    data[i] = (data[i] as number) + d + red
    data[i + 1] = (data[i + 1] as number) + d + green
    data[i + 2] = (data[i + 2] as number) + d + blue
  }
  const lit = curved(after, domain.decode).data
  eachPixel(region, light.region.width, region.x - light.region.x + from * light.region.width, (p, q) => {
    if (changed[p] === 0) return
    touched[q] = 1
    for (let i = 0; i < 3; i++) light.data[4 * q + i] = lit[4 * p + i] as number
  })
}

/** Luma and chroma of both pictures, [bt709]'s way with the file's weights. */
function planesOf(after: FloatImage, before: FloatImage, { kr, kb }: LumaWeights): [Both, Both, Both] {
  const n = after.data.length / 4
  const both = (): Both => ({ region: after.region, after: newFloats(n), before: newFloats(n) })
  const planes: [Both, Both, Both] = [both(), both(), both()]
  for (const [which, { data }] of [
    ['after', after],
    ['before', before],
  ] as const) {
    const [luma, cb, cr] = planes.map((p) => p[which]) as [Float32Array, Float32Array, Float32Array]
    for (let p = 0, i = 0; p < n; p++, i += 4) {
      const [r, b] = [data[i] as number, data[i + 2] as number]
      const y = kr * r + (1 - kr - kb) * (data[i + 1] as number) + kb * b
      luma[p] = y
      cb[p] = (b - y) / (2 * (1 - kb))
      cr[p] = (r - y) / (2 * (1 - kr))
    }
  }
  return planes
}

function slopeAt({ slope }: CodeDomain, code: number): number {
  const t = Math.min(Math.max(code, 0), 1) * STEPS
  const i = Math.min(Math.floor(t), STEPS - 1)
  return (slope[i] as number) + (t - i) * ((slope[i + 1] as number) - (slope[i] as number))
}

/** σ of the plate's grain at each pixel's level, in code values: green's, which is most of luma. */
function codeSigma(
  light: FloatImage,
  luma: Float32Array,
  grain: GrainModel,
  domain: CodeDomain,
): Float32Array {
  const variance = plateVariance(grain, light)
  return luma.map((v, p) => Math.sqrt(variance[4 * p + 1] as number) / slopeAt(domain, v))
}

/** Counts through a region: `p` in it, `q` in a wider picture in which its first pixel is number `first`. */
function eachPixel(
  { width, height }: Region,
  wide: number,
  first: number,
  work: (p: number, q: number) => void,
) {
  for (let y = 0, p = 0; y < height; y++)
    for (let x = 0, q = first + y * wide; x < width; x++, p++, q++) work(p, q)
}

/**
 * By how much the processing multiplies the variance of an element's own grain, R, G, B: of noise that is new in every pixel and alike in
 * every channel, through F on luma and W on chroma,
 *
 *   g_c = ‖F‖²·Σk² + 2⟨F, W⟩·(k_c − Σk²) + ‖W‖²·(1 − 2k_c + Σk²)        F = (1 + a)δ − a·w
 */
export function grainThrough(c: InCamera, { kr, kb }: LumaWeights): Rgb {
  const { amount, radius } = c.sharpen ?? { amount: 0, radius: 1 }
  // Of a Gaussian's middle, and of two that meet: 1 / (2π(σ₁² + σ₂²)), no more than 1 pixel's.
  const meet = (variance: number) => Math.min(1 / (2 * Math.PI * variance), 1)
  const [own, squared] = [meet(radius ** 2), meet(2 * radius ** 2)]
  const sharp = (1 + amount) ** 2 - 2 * amount * (1 + amount) * own + amount ** 2 * squared
  const soft = c.chroma === undefined ? 1 : meet(2 * c.chroma ** 2)
  const cross =
    c.chroma === undefined
      ? 1 + amount - amount * own
      : (1 + amount) * meet(c.chroma ** 2) - amount * meet(c.chroma ** 2 + radius ** 2)
  const shares = [kr, 1 - kr - kb, kb] as const
  const squares = shares.reduce((sum, k) => sum + k * k, 0)
  const gain = (k: number) => sharp * squares + 2 * cross * (k - squares) + soft * (1 - 2 * k + squares)
  return [gain(shares[0]), gain(shares[1]), gain(shares[2])]
}
