/**
 * Sight: how the plate's camera stands, told by the horizon, and what lies below each pixel.
 *
 *   F = f / w · W          focal length in pixels: f mm, w sensor width mm, W plate width px
 *   d = (x, y, F)          way of sight of a pixel, from the middle of the picture: x right, y down, z along the lens's axis
 *   l = (a, b, c)          the horizon's line, a·x + b·y + c = 0, above it positive, a² + b² = 1
 *   n ∝ (a, b, c / F)      straight up, a unit vector: the horizon's line and the lens's middle span the level plane
 *
 * Exact for a pinhole camera, however tilted or rolled (short of upside down); lens distortion is taken out before.
 * Source: [hartley2004 §8.6] (vanishing line of a plane), [criminisi2000].
 */
export type Vector = readonly [number, number, number]
export type Pixel = readonly [number, number]

/** A number and its standard deviation. */
export interface Measure {
  readonly value: number
  readonly sd: number
}

export interface Horizon {
  /** Two points of it, plate pixels. */
  readonly points: readonly [Pixel, Pixel]
  /** Standard deviation of each across the line, px. */
  readonly sd: number
}

export interface Sight {
  readonly width: number
  readonly height: number
  /** Focal length in plate pixels. */
  readonly focalPx: Measure
  /** Straight up; a level camera where no horizon is known. */
  readonly up: Vector
  /** The horizon's line in pixels from the picture's middle, and how well it is known. */
  readonly line:
    | { readonly a: number; readonly b: number; readonly c: number; readonly of: Horizon }
    | undefined
}

/** Focal length in plate pixels. */
export function focalInPixels(focalLengthMm: number, sensorWidthMm: number, plateWidthPx: number): number {
  return (focalLengthMm / sensorWidthMm) * plateWidthPx
}

/** Undefined where the horizon's two points are too near to each other to say how the camera stands, or stand over each other. */
export function sightOf(
  width: number,
  height: number,
  focalPx: Measure,
  horizon: Horizon | undefined,
): Sight | undefined {
  if (horizon === undefined) return { width, height, focalPx, up: [0, -1, 0], line: undefined }
  const [[x1, y1], [x2, y2]] = horizon.points.map(([x, y]) => [x - width / 2, y - height / 2]) as [
    [number, number],
    [number, number],
  ]
  const long = Math.sqrt((x2 - x1) ** 2 + (y2 - y1) ** 2)
  if (long <= 3 * horizon.sd || x1 === x2) return undefined
  const side = (x2 - x1 > 0 ? -1 : 1) / long
  const a = side * (y1 - y2)
  const b = side * (x2 - x1)
  const c = side * (x1 * y2 - x2 * y1)
  const size = Math.sqrt(a * a + b * b + (c / focalPx.value) ** 2)
  const up: Vector = [a / size, b / size, c / focalPx.value / size]
  return { width, height, focalPx, up, line: { a, b, c, of: horizon } }
}

/** Way of sight of a pixel; its third part is the focal length in pixels. */
export function rayOf(s: Sight, [x, y]: Pixel): Vector {
  return [x - s.width / 2, y - s.height / 2, s.focalPx.value]
}

/** The pixel in which a place shows; undefined behind the camera. */
export function pixelOf(s: Sight, [x, y, z]: Vector): Pixel | undefined {
  if (z <= 0) return undefined
  return [s.width / 2 + (s.focalPx.value * x) / z, s.height / 2 + (s.focalPx.value * y) / z]
}

/** How far below the horizon a pixel lies, px across the line, and how well that is known. Undefined without a horizon. */
export function belowHorizon(s: Sight, p: Pixel, pixelSd: number): Measure | undefined {
  if (s.line === undefined) return undefined
  const { a, b, c, of } = s.line
  const [x, y] = rayOf(s, p)
  // Where along the two points it lies: beyond them their errors grow.
  const [[x1, y1], [x2, y2]] = of.points
  const t = ((p[0] - x1) * (x2 - x1) + (p[1] - y1) * (y2 - y1)) / ((x2 - x1) ** 2 + (y2 - y1) ** 2)
  const sd = Math.sqrt(pixelSd ** 2 + of.sd ** 2 * (t * t + (1 - t) ** 2))
  return { value: -(a * x + b * y + c), sd }
}

/** Angle under which a pixel is looked at, above the level positive, degrees. */
export function elevationDeg(s: Sight, p: Pixel): number {
  const d = rayOf(s, p)
  return (Math.asin(dot(d, s.up) / Math.sqrt(dot(d, d))) * 180) / Math.PI
}

/** Tilt of the camera: above 0 it looks up, degrees. */
export function tiltDeg(s: Sight): number {
  return (Math.asin(s.up[2]) * 180) / Math.PI
}

export function dot(a: Vector, b: Vector): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
