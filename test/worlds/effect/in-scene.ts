/**
 * The effect as the camera saw it: samples over pixel, lens and shutter, each asking the smoke's and the fire's plane.
 * Smoke: mean of e^(−τ) and of colour·(1 − e^(−τ)), the air before it added by what it covers. Fire: light, dimmed by air.
 */
import { lensRay, newRay, transmittance } from '../camera.js'
import type { Recording } from '../fluid/record.js'
import { airlight } from '../scene/sky.js'
import { plateUnits, type Setting } from '../setting.js'
import { FIRE_CARD, type FirePicture, firePicture } from './fire-look.js'
import { CARD, type SmokeLight, type SmokePicture, smokePicture } from './smoke-look.js'

/** A card hung in space: its lower left corner and metres a cell. */
export interface Card {
  readonly left: number
  readonly top: number
  readonly cell: number
  readonly distanceM: number
  readonly widthM: number
  readonly heightM: number
}

export function smokeCard(s: Setting): Card {
  const cell = s.smoke.heightM / (CARD.h * s.fluid)
  const widthM = CARD.w * s.fluid * cell
  const top = s.smoke.footY + s.smoke.heightM
  return {
    left: s.smoke.x - 0.34 * widthM,
    top,
    cell,
    distanceM: s.smoke.distanceM,
    widthM,
    heightM: s.smoke.heightM,
  }
}

export function fireCard(s: Setting): Card {
  const cell = s.fire.heightM / (FIRE_CARD.h * s.fluid)
  const widthM = FIRE_CARD.w * s.fluid * cell
  const top = s.fire.footY + (FIRE_CARD.rim - FIRE_CARD.y) * s.fluid * cell
  return {
    left: s.fire.x - 0.48 * widthM,
    top,
    cell,
    distanceM: s.fire.distanceM,
    widthM,
    heightM: s.fire.heightM,
  }
}

/** What the effect does to a frame: planes of the picture's size. */
export interface Effect {
  /** Share of light from behind that comes through the smoke. */
  readonly through: Float32Array
  /** Light of the smoke and of the air by its cover, RGB. */
  readonly smoke: Float32Array
  readonly fire: Float32Array
  /** Candela-like intensity of the flame in plate units × m², RGB, at heights along the flame. */
  readonly lamps: readonly { y: number; rgb: readonly [number, number, number] }[]
}

const SUB = 3

export interface Ready {
  readonly s: Setting
  readonly smoke: Recording
  readonly fire: Recording
  readonly light: SmokeLight
  /** Luminance of the flame's body in `firePicture`'s units. */
  readonly body: number
}

export function effectAt(ready: Ready, frame: number): Effect {
  const { s } = ready
  const n = s.width * s.height
  const open = s.shutterDeg / 360 / 24
  const through = new Float32Array(n).fill(1)
  const smoke = new Float32Array(3 * n)
  const fire = new Float32Array(3 * n)
  const air = new Float64Array(3)
  const sc = smokeCard(s)
  const fc = fireCard(s)
  airlight(s, (sc.left + sc.widthM / 2) / sc.distanceM, 1, air)
  const gain = plateUnits(s, s.fire.luminance) / ready.body
  const lamps: { y: number; rgb: [number, number, number] }[] = []
  const smokes: SmokePicture[] = []
  const fires: FirePicture[] = []
  for (let j = 0; j < SUB; j++) {
    const t = frame / 24 + (open * (j + 0.5)) / SUB
    smokes.push(smokePicture(ready.smoke, t, s.smoke.depth, s.smoke.albedo, ready.light))
    fires.push(firePicture(ready.fire, t, s.fire.temperature))
  }
  overCard(
    s,
    sc,
    occupied(
      smokes.map((p) => p.tau),
      1,
      smokes[0].w,
      smokes[0].h,
    ),
    (x, y, j, gx, gy) => {
      const i = y * s.width + x
      const p = smokes[j]
      look(p.tau, p.w, p.h, 1, gx, gy, one)
      const cover = 1 - Math.exp(-one[0])
      look(p.colour, p.w, p.h, 3, gx, gy, rgb)
      acc[3] += cover
      for (let c = 0; c < 3; c++) acc[c] += rgb[c] * cover
      return i
    },
    (i, count) => {
      const t = transmittance(s, sc.distanceM)
      const cover = acc[3] / count
      through[i] = 1 - cover
      for (let c = 0; c < 3; c++) smoke[3 * i + c] = (acc[c] / count) * t + air[c] * (1 - t) * cover
    },
  )
  const ft = transmittance(s, fc.distanceM)
  overCard(
    s,
    fc,
    occupied(
      fires.map((p) => p.rgb),
      3,
      fires[0].w,
      fires[0].h,
    ),
    (x, y, j, gx, gy) => {
      const p = fires[j]
      look(p.rgb, p.w, p.h, 3, gx, gy, rgb)
      for (let c = 0; c < 3; c++) acc[c] += rgb[c]
      return y * s.width + x
    },
    (i, count) => {
      for (let c = 0; c < 3; c++) fire[3 * i + c] = (acc[c] / count) * gain * ft
    },
  )
  // Intensity: radiance × area, in five slices of the flame's height.
  const slices = 5
  for (let k = 0; k < slices; k++) {
    const sum: [number, number, number] = [0, 0, 0]
    for (const p of fires) {
      const y0 = Math.floor((p.h * k) / slices)
      const y1 = Math.floor((p.h * (k + 1)) / slices)
      for (let i = y0 * p.w; i < y1 * p.w; i++) for (let c = 0; c < 3; c++) sum[c] += p.rgb[3 * i + c]
    }
    const f = (gain * fc.cell * fc.cell) / SUB
    lamps.push({ y: fc.top - ((k + 0.5) / slices) * fc.heightM, rgb: [sum[0] * f, sum[1] * f, sum[2] * f] })
  }
  return { through, smoke, fire, lamps }
}

const one = new Float64Array(1)
const rgb = new Float64Array(3)
const acc = new Float64Array(4)

type Gather = (x: number, y: number, sub: number, gx: number, gy: number) => number

/** Runs samples of every pixel that the card can reach; `done` gets each pixel's index with the sums in `acc`. */
function overCard(
  s: Setting,
  card: Card,
  busy: Busy,
  gather: Gather,
  done: (i: number, count: number) => void,
): void {
  const margin = 5
  const f = s.focalPx / card.distanceM
  const x0 = Math.max(0, Math.floor(s.width / 2 + card.left * f - margin))
  const x1 = Math.min(s.width, Math.ceil(s.width / 2 + (card.left + card.widthM) * f + margin))
  const y0 = Math.max(0, Math.floor(s.horizonY - (card.top - s.eyeM) * f - margin))
  const y1 = Math.min(s.height, Math.ceil(s.horizonY - (card.top - card.heightM - s.eyeM) * f + margin))
  const ray = newRay()
  const strata = 2
  for (let y = y0; y < y1; y++) {
    for (let x = x0; x < x1; x++) {
      const bx = ((x + 0.5 - s.width / 2) / f - card.left) / card.cell
      const by = (card.top - (s.eyeM + (s.horizonY - y - 0.5) / f)) / card.cell
      if (!busy(bx, by)) continue
      acc.fill(0)
      let i = 0
      let count = 0
      for (let j = 0; j < SUB; j++) {
        for (let k = 0; k < strata * strata; k++) {
          lensRay(s, x, y, k + j * strata * strata, strata, ray)
          const wx = ray.ox + ray.dx * card.distanceM
          const wy = ray.oy + ray.dy * card.distanceM
          i = gather(x, y, j, (wx - card.left) / card.cell - 0.5, (card.top - wy) / card.cell - 0.5)
          count++
        }
      }
      done(i, count)
    }
  }
}

type Busy = (gx: number, gy: number) => boolean

/** Whether anything lies within a block of 16 cells or the ones beside it, in any of the pictures. */
function occupied(pictures: readonly Float32Array[], channels: number, w: number, h: number): Busy {
  const bw = (w >> 4) + 3
  const bh = (h >> 4) + 3
  const grid = new Uint8Array(bw * bh)
  for (const p of pictures) {
    for (let y = 0, i = 0; y < h; y++) {
      for (let x = 0; x < w; x++, i += channels) {
        if (p[i] < 1e-6) continue
        const b = ((y >> 4) + 1) * bw + (x >> 4) + 1
        for (let k = -1; k <= 1; k++) {
          grid[b + k] = 1
          grid[b + k - bw] = 1
          grid[b + k + bw] = 1
        }
      }
    }
  }
  return (gx, gy) => {
    const x = (Math.floor(gx) >> 4) + 1
    const y = (Math.floor(gy) >> 4) + 1
    return x >= 0 && y >= 0 && x < bw && y < bh && grid[y * bw + x] === 1
  }
}

/** Bilinear; nothing outside. */
function look(
  a: Float32Array,
  w: number,
  h: number,
  channels: number,
  x: number,
  y: number,
  out: Float64Array,
): void {
  if (x <= -1 || y <= -1 || x >= w || y >= h) {
    out.fill(0)
    return
  }
  const x0 = Math.floor(x)
  const y0 = Math.floor(y)
  const fx = x - x0
  const fy = y - y0
  const i = (y0 * w + x0) * channels
  const left0 = x0 >= 0 && y0 >= 0
  const left1 = x0 >= 0 && y0 + 1 < h
  const right0 = x0 + 1 < w && y0 >= 0
  const right1 = x0 + 1 < w && y0 + 1 < h
  for (let c = 0; c < channels; c++) {
    const p = left0 ? a[i + c] : 0
    const q = left1 ? a[i + w * channels + c] : 0
    const top = p + fx * ((right0 ? a[i + channels + c] : 0) - p)
    out[c] = top + fy * (q + fx * ((right1 ? a[i + (w + 1) * channels + c] : 0) - q) - top)
  }
}
