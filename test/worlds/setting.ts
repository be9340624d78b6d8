/**
 * Everything that a seed decides: weather, light, air, distances, colours, the files' bakes. Plain data, so that it
 * can be sent to threads and written down as the truth.
 *
 * Axes: x right, y up from the sea, z away from the camera, metres. The eye stands at (0, eyeM, 0) and looks along z
 * with the horizon at `horizonY` pixels (a shifted lens: verticals stay upright). Light: diffuse white = 1.
 */
import { between } from './chance.js'

export type Rgb = readonly [number, number, number]

export interface Setting {
  readonly seed: number
  readonly width: number
  readonly height: number
  readonly frames: number
  /** Samples along one side of a pixel. */
  readonly samples: number
  /** Share of the full solver grids. */
  readonly fluid: number
  readonly focalMm: number
  readonly sensorMm: number
  readonly fNumber: number
  readonly focusM: number
  readonly iso: number
  readonly shutterDeg: number
  readonly eyeM: number
  readonly horizonY: number
  /** Pixels at one metre's distance that one metre spans. */
  readonly focalPx: number
  readonly visibilityM: number
  /** Extinction of the air, 1/m. */
  readonly beta: number
  readonly sunAzimuth: number
  readonly sunElevation: number
  readonly horizon: Rgb
  readonly middle: Rgb
  readonly zenith: Rgb
  readonly glow: Rgb
  readonly cover: number
  readonly windMs: number
  readonly windAzimuth: number
  readonly smoke: {
    readonly distanceM: number
    readonly x: number
    readonly footY: number
    readonly heightM: number
    readonly depth: number
    readonly lean: number
    readonly albedo: Rgb
  }
  readonly fire: {
    readonly distanceM: number
    readonly x: number
    readonly footY: number
    readonly heightM: number
    /** Luminance of the flame's body, cd/m². */
    readonly luminance: number
    readonly temperature: number
    readonly fileTemperature: number
    /** Linear level of the body in the file, before its clip. */
    readonly fileLevel: number
  }
  readonly noise: { readonly photon: number; readonly read: number; readonly shared: number }
  readonly smokeFile: {
    readonly lift: number
    readonly key: Rgb
    readonly fill: Rgb
    readonly grain: number
  }
  readonly fireFile: { readonly floor: Rgb; readonly grain: number }
}

export interface SettingOptions {
  readonly width?: number
  readonly height?: number
  readonly frames?: number
  readonly samples?: number
  readonly fluid?: number
}

/** A grey of this reflectance, turned to brown by `brown`. */
function tintedGrey(grey: number, brown: number): Rgb {
  return [grey * (1 + brown), grey, grey * (1 - brown)]
}

export function makeSetting(seed: number, options: SettingOptions = {}): Setting {
  const width = options.width ?? 1280
  const height = options.height ?? 720
  const f = (lo: number, hi: number, k: number) => between(lo, hi, seed, k)
  // Exposed for the sky: what lies behind the smoke is in the file.
  const light = 2 ** f(-0.4, 0.05, 1)
  const warmth = f(-0.5, 0.5, 2)
  const tint = (r: number, g: number, b: number, k: number): Rgb => [
    r * k * (1 + 0.12 * warmth),
    g * k,
    b * k * (1 - 0.12 * warmth),
  ]
  const visibilityM = f(1700, 3300, 3)
  const focalMm = 50
  const sensorMm = 24.9
  const fireDistance = f(31, 34, 12)
  return {
    seed,
    width,
    height,
    frames: options.frames ?? 36,
    samples: options.samples ?? 4,
    fluid: options.fluid ?? 1,
    focalMm,
    sensorMm,
    fNumber: 4,
    focusM: 20,
    iso: 100,
    shutterDeg: 180,
    eyeM: 5,
    horizonY: 0.6 * height,
    focalPx: (focalMm / sensorMm) * width,
    visibilityM,
    beta: Math.log(50) / visibilityM,
    sunAzimuth: f(-0.14, -0.03, 4),
    sunElevation: f(0.012, 0.04, 5),
    horizon: tint(0.52, 0.445, 0.4, 1.05 * light),
    middle: tint(0.35, 0.39, 0.455, 0.98 * light),
    zenith: tint(0.17, 0.23, 0.34, 1.0 * light),
    glow: tint(0.72, 0.4, 0.17, f(0.8, 1.15, 6) * light),
    cover: f(-0.02, 0.14, 7),
    windMs: f(4.5, 8, 8),
    windAzimuth: f(-0.6, 0.9, 9),
    smoke: {
      distanceM: f(78, 100, 10),
      x: f(2.6, 4.2, 11),
      footY: 3,
      heightM: f(18.5, 21.5, 14),
      depth: f(4.2, 5.6, 15),
      lean: f(0.12, 0.26, 16),
      // About as dark as weathered concrete, a little brown.
      albedo: tintedGrey(f(0.25, 0.29, 17), f(0, 0.1, 18)),
    },
    fire: {
      distanceM: fireDistance,
      x: f(-4.1, -3.75, 13),
      footY: 3.86,
      heightM: f(3.0, 3.5, 20),
      luminance: 1500 * 2 ** f(-0.3, 0.3, 21),
      // Between a match's 1700 K and a candle's 1850 K (common practice).
      temperature: f(1715, 1835, 22),
      fileTemperature: f(2150, 2500, 23),
      fileLevel: f(0.75, 1.1, 24),
    },
    noise: { photon: f(1.6e-4, 2.8e-4, 25), read: f(1.6e-6, 3.2e-6, 26), shared: f(0.25, 0.4, 27) },
    smokeFile: {
      lift: f(0.022, 0.04, 28),
      key: [f(1.15, 1.3, 29) * 2.4, f(1.0, 1.08, 30) * 2.4, f(0.78, 0.9, 31) * 2.4],
      fill: [0.62, 0.66, 0.74],
      grain: f(0.006, 0.011, 32),
    },
    fireFile: {
      floor: [f(20, 23, 33) / 255, f(20, 22.5, 34) / 255, f(21, 24, 35) / 255],
      grain: f(0.007, 0.011, 36),
    },
  }
}

/** Plate units (diffuse white = 1) of a luminance: K·N²/(t·ISO), K = 12.5, falls on 0.18 [iso2720]. */
export function plateUnits(s: Setting, luminance: number): number {
  const seconds = s.shutterDeg / 360 / 24
  return (0.18 * luminance * seconds * s.iso) / (12.5 * s.fNumber * s.fNumber)
}
