/**
 * Where an element's pixels lie in the plate on one frame: moved and scaled as it stands, or carried by any motion of the
 * picture plane, with a mesh of offsets on top where a surface bends.
 */
import { invert3, type Matrix3 } from '../../../colour/index.js'
import { Problem } from '../../../core/index.js'
import { partsAt } from '../motion/carry.js'
import { at } from '../motion/matrix.js'
import { type BentMotion, bentAt, folds, unbending } from '../motion/mesh.js'

/** Moved and scaled: plate = origin + scale · element. */
export interface Straight {
  readonly scaleX: number
  readonly scaleY: number
  readonly originX: number
  readonly originY: number
}

export interface Plane {
  readonly matrix: Matrix3
  /** Where the camera reads its rows one after the other: the motion by the row of the plate, which is `matrix` on one of them. */
  readonly rows?: ((y: number) => Matrix3) | undefined
}

/** From the element's pixels to the plate's: the mesh lies on the element, its offsets are the plate's. */
export type Carried = Plane | BentMotion

export type PlaceMap = Straight | Carried

/** The same in the middle of the exposure (of each row, where they are read one after the other), at its beginning and its end. */
export interface Exposed {
  readonly map: PlaceMap
  /** Undefined where the shutter is open for too short a time to be seen. */
  readonly ends: readonly [from: PlaceMap, to: PlaceMap] | undefined
}

/** Where an element stands on one frame. */
export interface Stand {
  readonly map: PlaceMap
  /** While the shutter is open; undefined where nothing moves in that time. */
  readonly exposed?: Exposed | undefined
  /** How much longer a metre at the element is in the picture than where the document tells its size. */
  readonly zoom: number
}

export function isCarried(map: PlaceMap): map is Carried {
  return 'matrix' in map
}

/** w of a point under a matrix whose sign was kept: above 0 before the camera, 0 on the horizon. */
export function depth(m: Matrix3, x: number, y: number): number {
  return m[6] * x + m[7] * y + m[8]
}

/** Plate position of a point of the element; NaN where it lies behind the camera. */
export function placed(map: PlaceMap, x: number, y: number): [number, number] {
  if (!isCarried(map)) return [map.originX + map.scaleX * x, map.originY + map.scaleY * y]
  if (!(depth(map.matrix, x, y) > 0)) return [Number.NaN, Number.NaN]
  if ('mesh' in map) return bentAt(map, x, y)
  const place = at(map.matrix, x, y)
  return map.rows === undefined ? place : whenRead(map.rows, x, y, place)
}

/** Where a point is when the row on which it then lies is read: it moves far less in a row's time than a row is high. */
function whenRead(
  rows: (y: number) => Matrix3,
  x: number,
  y: number,
  from: [number, number],
): [number, number] {
  let place = from
  for (let k = 0; k < ROUNDS; k++) place = at(rows(place[1]), x, y)
  return place
}

/** Each is as much nearer as the point moves in a row's time: a tenth of a row leaves 10⁻⁴ px of 10 px. */
const ROUNDS = 5

export function matrixOf(map: Straight): Matrix3 {
  return [map.scaleX, 0, map.originX, 0, map.scaleY, map.originY, 0, 0, 1]
}

/** The way back: what of the element lies at a place of the plate, for many places. NaN where nothing of its plane does. */
export function standsAt(map: PlaceMap): (x: number, y: number) => [number, number] {
  if (!isCarried(map)) return (x, y) => [(x - map.originX) / map.scaleX, (y - map.originY) / map.scaleY]
  const unbend = 'mesh' in map ? unbending(map) : undefined
  const out = new Float64Array(2)
  const nowhere = (): [number, number] => [Number.NaN, Number.NaN]
  const backAt = backBy(map)
  return (x, y) => {
    const back = backAt(y)
    if (!(depth(back, x, y) > 0)) return nowhere()
    if (unbend === undefined) return at(back, x, y)
    return unbend(x, y, out) ? [out[0] as number, out[1] as number] : nowhere()
  }
}

/** The way back from a row of the plate; asked row by row. */
export function backBy(map: Carried): (y: number) => Matrix3 {
  const rows = 'mesh' in map ? undefined : map.rows
  if (rows === undefined) {
    const back = invert3(map.matrix)
    return () => back
  }
  let [row, back] = [Number.NaN, map.matrix]
  return (y) => {
    if (y !== row) [row, back] = [y, invert3(rows(y))]
    return back
  }
}

/** Plate pixels that one of the element's covers, in its middle. */
export function areaScale(map: PlaceMap, width: number, height: number): number {
  if (!isCarried(map)) return map.scaleX * map.scaleY
  const { size } = partsAt(map.matrix, [width / 2, height / 2])
  return size * size
}

/** Least size of the determinant beside that of the matrix's own slopes. */
const FLAT = 1e-9

/**
 * Nothing is mirrored, flattened or folded by a motion of a plate.
 *
 * @param where what of the document it comes from
 * @throws Problem `place.mirrors`, `place.folds`
 */
export function checkCarried(map: Carried, where: string): void {
  const [a, b, c, d, e, f, g, h, i] = map.matrix
  const turned = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
  const longest = Math.max(...[a, b, d, e].map(Math.abs))
  if (!(turned > FLAT * longest * longest)) {
    throw new Problem({
      code: 'place.mirrors',
      what: 'This motion mirrors the picture or makes a line of it',
      where,
      expected: 'a matrix with a determinant above 0',
      received: String(Number(turned.toPrecision(4))),
      remedy: 'Correct the track there, and follow it again.',
    })
  }
  if ('mesh' in map && folds(map)) {
    throw new Problem({
      code: 'place.folds',
      what: 'This mesh folds over itself: one place of the picture would show two of the element',
      where,
      expected: 'cells whose corners go round the same way',
      remedy: 'Correct the track there, or follow it as a plane (`"motion": "homography"`).',
    })
  }
}
