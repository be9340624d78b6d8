/** What an artist points at and writes down on the day: the beacon, the grey card, how light such smoke looks beside the card. */
import { project } from './camera.js'
import { BEACON_BAND, BEACON_X, BEACON_Z } from './scene/far.js'
import { Sky } from './scene/sky.js'
import { encode, expose, noiseField } from './sensor.js'
import type { Rgb, Setting } from './setting.js'

interface Box {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

export interface Places {
  /** The dark band of the far beacon, in the plate. */
  readonly beacon: Box
  /** The card in its own picture. */
  readonly card: Box
  readonly smokeReflectance: Rgb
}

/** @param smokeMiddle the smoke's true middle before the air */
export function makePlaces(s: Setting, smokeMiddle: readonly number[]): Places {
  const [x, y0] = project(s, BEACON_X, BEACON_BAND.top, BEACON_Z)
  const y1 = project(s, BEACON_X, BEACON_BAND.foot, BEACON_Z)[1]
  const half = Math.max(1, (0.75 * BEACON_BAND.half * s.focalPx) / BEACON_Z)
  const top = Math.ceil(y0 + 1)
  const white = whiteCard(s)
  const { width, height } = cardSize(s)
  return {
    beacon: {
      x: Math.round(x - half),
      y: top,
      width: Math.max(1, Math.round(2 * half)),
      height: Math.max(1, Math.floor(y1 - 1) - top),
    },
    card: { x: width / 4, y: height / 4, width: width / 2, height: height / 2 },
    smokeReflectance: [0, 1, 2].map((c) => smokeMiddle[c] / white[c]) as unknown as Rgb,
  }
}

function cardSize(s: Setting): { width: number; height: number } {
  return { width: 4 * Math.ceil(s.width / 16), height: 4 * Math.ceil(s.height / 16) }
}

/** Light of a white matt card that faces the camera: E/π. */
function whiteCard(s: Setting): Rgb {
  const e = new Float64Array(3)
  new Sky(s).irradiance(0, 0, -1, e)
  return [e[0] / Math.PI, e[1] / Math.PI, e[2] / Math.PI]
}

/** R′G′B′, 0 to 1, of a card held up before the dark of a sleeve, by the plate's own camera. */
export function cardPicture(
  s: Setting,
  reflectance: number,
): { width: number; height: number; rgb: Float32Array } {
  const { width, height } = cardSize(s)
  const white = whiteCard(s)
  const picture = { ...s, width, height }
  const light = new Float32Array(3 * width * height)
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      const card = Math.abs(x / width - 0.5) < 0.3 && Math.abs(y / height - 0.5) < 0.3
      for (let c = 0; c < 3; c++) light[3 * i + c] = white[c] * (card ? reflectance : 0.04)
    }
  }
  return { width, height, rgb: encode(expose(picture, light, noiseField(picture, 9999), 0)) }
}
