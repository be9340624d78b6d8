/**
 * Blur of a plate whose camera sharpened it: its sharpening measured on all photographs as frames of one plate, taken off, then the blur of
 * one of them measured. Discs of 0.8 to 2.2 px, an overshoot of 0.04 to 0.18.
 */
import { measureBlur } from '../../src/chain/lens/defocus/measure.js'
import { unsharpened, withDoubt } from '../../src/chain/sensor/sharpening/apply.js'
import { measureSharpening } from '../../src/chain/sensor/sharpening/measure.js'
import { amountFor } from '../../src/chain/sensor/sharpening/model.js'
import { spreadOf, told, uniform } from '../../src/core/index.js'
import { decode, encode } from './film.js'
import type { Photograph } from './photographs.js'
import type { Trip } from './row.js'
import { MOST, OVERSHOOT_LIMIT, sharpened } from './sharpening.js'

/** Of 0.8 to 2.2 px: no better known than the sharpening that is taken off. */
export const SHARPENED_LIMIT = OVERSHOOT_LIMIT

/** @param pictures shrunk twice @param off whether what was measured is taken off: else the row says what that is good for */
export function sharpenedBlurTrip(pictures: readonly Photograph[], draw: number, off = true): Trip {
  const u = (k: number) => uniform(23, draw, k, 0, 0)
  const [blur, radius] = [0.8 + 1.4 * u(0), 0.8 * (1.8 / 0.8) ** u(1)]
  const width = 2.5631 * Math.hypot(0.5, blur / 2)
  const amount = Math.min(amountFor({ overshoot: 0.04 + 0.14 * u(2), width, radius }), MOST)
  const frames = pictures.map(({ image }, frame) => {
    const { luma, width, height } = sharpened(image, { blur, amount, radius, noise: 0.7 }, 100 * draw + frame)
    return { frame, luma: { width, height, values: luma } }
  })
  const sharp = off ? measureSharpening(frames, { decode, encode }) : undefined
  if (sharp !== undefined && !told(sharp)) return { truth: blur, reading: sharp }
  const done = sharp !== undefined && sharp.value.amount > 0 ? sharp : undefined
  const { luma } = frames[Math.floor(u(3) * frames.length)]!
  const before = done === undefined ? luma : unsharpened(luma, done.value)
  const light = { ...luma, values: Float64Array.from(before.values, (v) => decode(Math.max(v, 0))) }
  const reading = measureBlur(light, 0, { x: 0, y: 0, width: luma.width, height: luma.height }, true)
  if (!told(reading)) return { truth: blur, reading }
  const found = { ...reading, value: reading.value.radius }
  if (done === undefined) return { truth: blur, reading: found }
  return { truth: blur, reading: withDoubt(found, done.value, spreadOf(done) / done.value.overshoot) }
}
