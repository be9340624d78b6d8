/** Light link of an element: its emitting share by exposure and temperature, the rest by its match. */
import type { FloatImage, Rgb } from '../core/index.js'
import { applyGain, copyImage } from '../kernels/index.js'
import type { ElementSettings } from './element.js'
import type { Emission } from './light/cast/model.js'
import { applyMatch } from './light/match/apply.js'

/** In place. Gives the light that the element emits, which needs all of it; undefined when `total` is false or there is none. */
export function shine(image: FloatImage, s: ElementSettings, total: boolean): Emission | undefined {
  const emitted = s.emits > 0 ? copyImage(image) : undefined
  if (emitted !== undefined) {
    applyGain(emitted, [
      s.emissionGain[0] * s.emits,
      s.emissionGain[1] * s.emits,
      s.emissionGain[2] * s.emits,
    ])
  }
  const rest = 1 - s.emits
  if (rest === 0) image.data.fill(0)
  else {
    if (rest < 1) for (let i = 0; i < image.data.length; i++) image.data[i] = (image.data[i] as number) * rest
    if (s.match !== undefined) applyMatch(image, s.match.tables, s.match.luminance)
  }
  if (emitted === undefined) return undefined
  addLight(image, emitted)
  return total ? emissionOf(emitted) : undefined
}

function addLight({ data }: FloatImage, { data: light }: FloatImage): void {
  for (let i = 0; i < data.length; i += 4) {
    data[i] = (data[i] as number) + (light[i] as number)
    data[i + 1] = (data[i + 1] as number) + (light[i + 1] as number)
    data[i + 2] = (data[i + 2] as number) + (light[i + 2] as number)
  }
}

function emissionOf({ region, data }: FloatImage): Emission | undefined {
  const total: [number, number, number] = [0, 0, 0]
  let weight = 0
  let sx = 0
  let sy = 0
  let syy = 0
  const { x, y, width } = region
  for (let i = 0, p = 0; i < data.length; i += 4, p++) {
    let light = 0
    for (let c = 0; c < 3; c++) {
      const v = data[i + c] as number
      total[c] = (total[c] as number) + v
      light += v
    }
    if (light <= 0) continue
    weight += light
    sx += light * (x + (p % width) + 0.5)
    const v = y + Math.floor(p / width) + 0.5
    sy += light * v
    syy += light * v * v
  }
  if (weight <= 0) return undefined
  const middle = sy / weight
  return { total, x: sx / weight, y: middle, spreadY: Math.sqrt(Math.max(syy / weight - middle * middle, 0)) }
}

/** Mean slope of the light link: what it does to the element's own grain. */
export function shineSlope(s: ElementSettings): Rgb {
  const slope = (c: 0 | 1 | 2) => {
    if (s.emits === 1) return s.emissionGain[c]
    if (s.match === undefined) return 1
    const span = s.match.from.white[c] - s.match.from.black[c]
    return span < 1e-5 ? 1 : (s.match.to.white[c] - s.match.to.black[c]) / span
  }
  return [slope(0), slope(1), slope(2)]
}
