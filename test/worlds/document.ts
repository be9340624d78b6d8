/**
 * The shot documents of a world: what an artist would know, with an artist's error, and the same with every treatment
 * set to the truth. Plain JSON; only the type of the program's schema is known here.
 */

import { project } from './camera.js'
import { between } from './chance.js'
import { fireFileSize, smokeFileSize } from './effect/files.js'
import { fireCard, smokeCard } from './effect/in-scene.js'
import type { Places } from './place.js'
import { BEACON_Z, HEADLAND_Z } from './scene/far.js'
import { GROUND_Y, WALL_TOP, WALL_X } from './scene/near.js'
import type { Setting } from './setting.js'
import type { Truth } from './truth.js'

/** Middle grey. */
export const CARD_REFLECTANCE = 0.18

type Json = { [key: string]: unknown }

/** @param exact true: no artist's error */
export function artistDocument(
  s: Setting,
  places: Places,
  exact = false,
): Json & { elements: Json[]; plate: Json } {
  const err = (size: number, k: number) =>
    exact ? 0 : between(0.75, 1, s.seed, k, 400) * size * (between(-1, 1, s.seed, k, 401) < 0 ? -1 : 1)
  const sc = smokeCard(s)
  const fc = fireCard(s)
  const smokeFile = smokeFileSize(s)
  const fireFile = fireFileSize(s)
  const px = s.width / 1280
  const [sx, sy] = project(s, sc.left + sc.widthM / 2, sc.top - sc.heightM / 2, sc.distanceM)
  const [fx, fy] = project(s, fc.left + fc.widthM / 2, fc.top - fc.heightM / 2, fc.distanceM)
  // An artist places and sizes an element in the picture, by eye, and takes distances off a map.
  const size = (card: typeof sc, file: { height: number }, k: number): Json => ({
    scale: round(((card.heightM * s.focalPx) / card.distanceM / file.height) * (1 + err(0.003, k)), 6),
  })
  const off = 0.8 * px
  return {
    platefit: 1,
    // Its camera is known to keep to its tag, as is that which filmed the fire.
    plate: { file: 'plate.mov', curve: 'bt709' },
    camera: {
      sensorWidthMm: s.sensorMm,
      focalLengthMm: s.focalMm,
      fNumber: s.fNumber,
      focusM: s.focusM,
      shutterAngleDeg: s.shutterDeg,
      iso: s.iso,
    },
    site: {
      airTemperatureC: 11,
      // A far beacon and the headland behind it off the sea chart, and a card held up before the take.
      marks: [
        {
          ...places.beacon,
          distanceM: round(BEACON_Z * (1 + err(0.01, 1)), exact ? 6 : 0),
          behindM: round(HEADLAND_Z * (1 + err(0.01, 20)), exact ? 6 : 0),
        },
      ],
      greyCard: { file: 'card.png', curve: 'bt709', ...places.card, reflectance: CARD_REFLECTANCE },
    },
    elements: [
      {
        id: 'smoke',
        file: 'smoke/smoke.####.png',
        curve: 'srgb',
        rate: '30',
        alpha: 'straight',
        nature: 'absorbs',
        group: 'burning',
        position: { x: round(sx + err(0.3 * px, 2), 3), y: round(sy + err(0.3 * px, 3), 3) },
        ...size(sc, smokeFile, 4),
        distanceM: round(sc.distanceM * (1 + err(0.02, 5)), exact ? 9 : 0),
        // What such smoke looks like beside a white card: from the artist's own pictures of it.
        reflectance: places.smokeReflectance.map((v, c) =>
          round(v * (1 + err(0.03, 16)) * (1 + err(0.015, 17 + c)), exact ? 6 : 3),
        ),
        holdout: { file: 'holdout.png' },
        treatments: {},
      },
      {
        id: 'fire',
        file: 'fire.mov',
        curve: 'bt709',
        alpha: 'on-black',
        nature: 'emits',
        luminanceCdM2: round(s.fire.luminance * (1 + err(0.08, 15)), 0),
        group: 'burning',
        position: { x: round(fx + err(0.3 * px, 7), 3), y: round(fy + err(0.3 * px, 8), 3) },
        ...size(fc, fireFile, 9),
        distanceM: round(fc.distanceM * (1 + err(0.02, 10)), exact ? 9 : 1),
        lights: [
          {
            polygon: [
              project(s, WALL_X, GROUND_Y, 25),
              project(s, WALL_X, WALL_TOP, 25),
              project(s, WALL_X, WALL_TOP, 38.9),
              project(s, WALL_X, GROUND_Y, 38.9),
            ].map(([x, y]) => [round(x + (exact ? 0 : off), 1), round(y, 1)]),
            awayM: round((s.fire.x - WALL_X) * (1 + err(0.05, 11)), exact ? 6 : 2),
            nearest: project(s, WALL_X, s.fire.footY + 0.8, s.fire.distanceM).map((v, i) =>
              round(v + err(3 * px, 12 + i), 1),
            ),
            turnedDeg: round((Math.atan2(s.fire.distanceM, -WALL_X) * 180) / Math.PI + err(1, 14), 1),
            reflectance: exact ? 0.2 : 0.2,
            featherPx: Math.max(1, 3 * px),
          },
        ],
        treatments: {},
      },
    ],
  }
}

/** The document in which nothing is left to find. */
export function trueDocument(s: Setting, places: Places, t: Truth, wallReflectance: number): Json {
  const set = (value: number | number[]) => ({
    value: Array.isArray(value) ? value : [value],
    evidence: { kind: 'set', note: 'true value' },
  })
  const doc = artistDocument(s, places, true)
  doc.plate.treatments = {
    'sensor.grainLevels': set(t.grain.levels),
    'sensor.grainVariance': set(t.grain.variance),
    'sensor.grainCorrelation': set(t.grain.correlation),
    'sensor.grainMix': set(t.grain.mix),
  }
  const three = (v: number) => [v, v, v]
  doc.elements[0].treatments = {
    'source.floor': set(three(0)),
    'source.floorNoise': set(three(0)),
    'light.elementBlack': set(t.smoke.elementBlack),
    'light.elementMiddle': set(t.smoke.elementMiddle),
    'light.elementWhite': set(t.smoke.elementWhite),
    'light.plateBlack': set(t.smoke.black),
    'light.plateMiddle': set(t.smoke.middle),
    'light.plateWhite': set(t.smoke.white),
    'air.transmittance': set(three(t.smoke.transmittance)),
    'air.airlight': set(t.smoke.airlight),
    'lens.blurRadius': set(t.smoke.blurRadiusPx),
    'sensor.elementVariance': set(t.smoke.elementVariance),
  }
  doc.elements[1].treatments = {
    'source.ceiling': set(1),
    'source.floor': set(t.fire.floor),
    'source.floorNoise': set(t.fire.floorNoise),
    'light.exposure': set(t.fire.exposureStops),
    'light.temperature': set(t.fire.temperatureK),
    'light.elementTemperature': set(t.fire.elementTemperatureK),
    'light.cast': set(1),
    'air.transmittance': set(three(t.fire.transmittance)),
    'air.airlight': set(t.fire.airlight),
    'lens.blurRadius': set(t.fire.blurRadiusPx),
    'sensor.elementVariance': set(t.fire.elementVariance),
  }
  const lights = doc.elements[1].lights as Json[]
  lights[0].reflectance = round(wallReflectance, 4)
  return doc
}

/** The same document for the noise-free twins. */
export function cleanDocument(doc: Json): Json {
  const copy = structuredClone(doc) as Json & { plate: Json; elements: Json[] }
  copy.plate.file = 'clean/plate/plate.####.png'
  copy.plate.curve = 'bt709'
  copy.plate.rate = '24'
  copy.elements[0].file = 'clean/smoke/smoke.####.png'
  copy.elements[1].file = 'clean/fire/fire.####.png'
  copy.elements[1].curve = 'bt709'
  copy.elements[1].rate = '30'
  return copy
}

function round(v: number, digits: number): number {
  const k = 10 ** digits
  return Math.round(v * k) / k
}
