/** Elements as bought: smoke and a card with straight alpha, a flame on black. Each has grain of its own, finer than the plate's. */
import { clouds, grainField, uniforms } from './chance.js'
import type { Painted } from './files.js'
import { blurred } from './plate.js'

export interface ElementFaults {
  /** Standard deviation of its own grain at white, linear. */
  readonly grain?: number
  /** The same picture on every frame. */
  readonly still?: boolean
  /** Colour stored times alpha (of the code values, as a premultiplied file holds them). */
  readonly premultiplied?: boolean
  /** Pixels by which the smoke's core is moved to the left, against its own border. */
  readonly shift?: number
  /** Gaussian of the card's outline, px. */
  readonly edge?: number
  /** Green light of a screen on the card's edge, linear. */
  readonly spill?: number
  /** Coverage of a part in the card's middle. */
  readonly hole?: number
  /** Coverage where nothing of a smaller card stands. */
  readonly veil?: number
  /** Standard deviation of what the coverage of the card's outline has of its own on every frame. */
  readonly flicker?: number
}

export const SMOKE = { width: 176, height: 136 }
export const CARD = { width: 136, height: 106 }
export const FIRE = { width: 80, height: 110 }

export function smoke(seed: number, faults: ElementFaults = {}): (frame: number) => Painted {
  const { width, height } = SMOKE
  const folds = clouds(seed, 26)
  const shade = clouds(seed + 1, 34)
  return (number) => {
    const frame = faults.still ? 0 : number
    const data = new Float32Array(4 * width * height)
    const grain = grainField(500 + seed * 91 + frame, width, height, 0)
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const p = y * width + x
        const d = Math.hypot((x - width / 2 + (faults.shift ?? 0)) / 74, (y - height / 2) / 58)
        const body = 1.9 * (1 - d) + 0.5 * (folds(x, y + 2 * frame) - 0.5) * Math.min(4 * (1 - d), 1)
        const a = Math.min(Math.max(body, 0), 1)
        const v = 0.06 + 0.5 * shade(x, y + 2 * frame) ** 1.6
        const light = v + (faults.grain ?? 0.002) * Math.sqrt(v) * (grain[p] as number)
        data.set([light, light, light, a * a * (3 - 2 * a)], 4 * p)
      }
    }
    return { width, height, channels: 4, data }
  }
}

/** A board of grey panels, 0.03 to 0.7 of its own light. */
export function card(seed: number, faults: ElementFaults = {}): (frame: number) => Painted {
  const { width, height } = CARD
  const alpha = new Float32Array(width * height)
  const inset = faults.veil === undefined ? 8 : 30
  for (let y = inset; y < height - inset; y++)
    for (let x = inset; x < width - inset; x++) alpha[y * width + x] = 1
  const soft = blurred(alpha, faults.edge ?? 0.9, width, height, 1)
  const colour = new Float32Array(width * height)
  for (let p = 0; p < colour.length; p++) {
    const cell = Math.floor((p % width) / 20) + 40 * Math.floor(p / width / 18)
    colour[p] = 0.03 + 0.67 * uniforms(seed * 13 + cell)() ** 2
  }
  const own = blurred(colour, faults.edge ?? 0.9, width, height, 1)
  return (number) => {
    const grain = grainField(900 + seed * 91 + (faults.still ? 0 : number), width, height, 0)
    const shaken = faults.flicker === undefined ? undefined : grainField(700 + number, width, height, 0)
    const data = new Float32Array(4 * width * height)
    for (let p = 0; p < soft.length; p++) {
      const v = own[p] as number
      const light = v + (faults.grain ?? 0.002) * Math.sqrt(v) * (grain[p] as number)
      const rim = (soft[p] as number) > 0.02 && (soft[p] as number) < 0.98
      const jump = rim && shaken !== undefined ? (faults.flicker ?? 0) * (shaken[p] as number) : 0
      const a = Math.min(Math.max((soft[p] as number) + jump, 0), 1)
      const green = a > 0.02 && a < 0.98 ? (faults.spill ?? 0) : 0
      const middle = Math.abs((p % width) - 68) < 8 && Math.abs(Math.floor(p / width) - 53) < 8
      const held = middle ? (faults.hole ?? a) : Math.max(a, faults.veil ?? 0)
      data.set([light, light + green, light + 0.1 * green, held], 4 * p)
    }
    return { width, height, channels: 4, data }
  }
}

/** A flame of 1900 K (linear BT.709 1 : .2326 : 0, CIE 1931), its core brighter than the file holds. */
export function fire(seed: number, faults: ElementFaults = {}): (frame: number) => Painted {
  const { width, height } = FIRE
  const licks = clouds(seed, 18)
  return (number) => {
    const data = new Float32Array(3 * width * height)
    const grain = grainField(300 + seed * 91 + number, width, height, 0)
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const p = y * width + x
        const lean = 10 * (licks(40, y + 6 * number) - 0.5) * (1 - y / height)
        const d = Math.hypot((x - width / 2 - lean) / (6 + 0.24 * y), (y - 58) / 38)
        const light = 2.2 * Math.max(1 - d * d, 0) * (0.6 + 0.8 * licks(x, y + 6 * number))
        const noise = (faults.grain ?? 0.002) * (grain[p] as number)
        data.set([light + noise, 0.2326 * light + noise, noise], 3 * p)
      }
    }
    return { width, height, channels: 3, data }
  }
}
