/** Light link of an element: its emitting share by exposure and temperature, the rest by its match. */
import type { FloatImage, Rgb } from '../core/index.js'
import { addColour, applyGain, applyScale, copyImage, lightSums, setAlpha } from '../kernels/index.js'
import type { ElementSettings } from './element.js'
import type { Emission } from './light/cast/model.js'
import { applyMatch } from './light/match/apply.js'

/** In place. Gives the light that the element emits, which needs all of it; undefined when `total` is false or there is none. */
export function shine(image: FloatImage, s: ElementSettings, total: boolean): Emission | undefined {
  const [r, g, b] = s.emissionGain
  if (s.emits === 1) {
    applyGain(image, [r, g, b])
    setAlpha(image, 0)
    return total ? emissionOf(image) : undefined
  }
  const emitted = s.emits > 0 ? copyImage(image) : undefined
  if (emitted !== undefined) {
    applyGain(emitted, [r * s.emits, g * s.emits, b * s.emits])
    applyScale(image, 1 - s.emits)
  }
  if (s.match !== undefined) applyMatch(image, s.match.tables, s.match.luminance)
  if (emitted === undefined) return undefined
  addColour(image, emitted)
  return total ? emissionOf(emitted) : undefined
}

function emissionOf(emitted: FloatImage): Emission | undefined {
  const { total, weight, x, y, yy } = lightSums(emitted)
  if (!(weight > 0)) return undefined
  const middle = y / weight
  return { total, x: x / weight, y: middle, spreadY: Math.sqrt(Math.max(yy / weight - middle * middle, 0)) }
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
