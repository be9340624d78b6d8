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

/** From the element's pixels to the plate's: the mesh lies on the element, its offsets are the plate's. */
export type Carried = { readonly matrix: Matrix3 } | BentMotion

export type PlaceMap = Straight | Carried

/** Where an element stands on one frame. */
export interface Stand {
  readonly map: PlaceMap
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
  return 'mesh' in map ? bentAt(map, x, y) : at(map.matrix, x, y)
}

/** The way back: what of the element lies at a place of the plate, for many places. NaN where nothing of its plane does. */
export function standsAt(map: PlaceMap): (x: number, y: number) => [number, number] {
  if (!isCarried(map)) return (x, y) => [(x - map.originX) / map.scaleX, (y - map.originY) / map.scaleY]
  const back = invert3(map.matrix)
  const unbend = 'mesh' in map ? unbending(map) : undefined
  const out = new Float64Array(2)
  const nowhere = (): [number, number] => [Number.NaN, Number.NaN]
  return (x, y) => {
    if (!(depth(back, x, y) > 0)) return nowhere()
    if (unbend === undefined) return at(back, x, y)
    return unbend(x, y, out) ? [out[0] as number, out[1] as number] : nowhere()
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
