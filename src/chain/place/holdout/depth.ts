/**
 * By a depth map: whatever is nearer than the element hides it.
 *
 *   metres   d = a·v + b        inverse   1/d = a·v + b        h = smooth(D/d from 0.98 to 1.02)
 *
 *   v  the map's first plane as data, not as colour: floats as they are, codes as shares of full code
 *   d  distance of what the plate shows   m        D  the element's distance   m
 *
 * The ramp of ±2 % is a choice: a map says nothing about its own error. What has no distance (d not above 0, or no number; an
 * inverse of 0 is endlessly far) hides nothing. A map of another size lies over the whole plate; the four nearest of its values
 * are compared with D one by one and the answers mixed, so that no distance between two things is made up at their border.
 */
import { intersect, type NativeFrame, type Region } from '../../../core/index.js'
import { type Hide, smoothShare } from './apply.js'
import { topOf } from './matte.js'

const SOFT = 0.02

export interface DepthScale {
  readonly unit: 'metres' | 'inverse'
  readonly a: number
  readonly b: number
}

export function depthHide(
  map: NativeFrame,
  { unit, a, b }: DepthScale,
  distanceM: number,
  plate: { readonly width: number; readonly height: number },
): Hide {
  const plane = map.planes[0]
  const top = topOf(map)
  const shareOf = (v: number) => {
    const d = a * (v / top) + b
    const ratio = unit === 'inverse' ? distanceM * d : d > 0 ? distanceM / d : 0
    return smoothShare(ratio, 1 - SOFT, 1 + SOFT)
  }
  return (part) => {
    if (plane === undefined) return undefined
    const region: Region = intersect(part, { x: 0, y: 0, ...plate })
    const share = new Float32Array(region.width * region.height)
    const columns = Array.from({ length: region.width }, (_, x) =>
      between(x + region.x, plate.width, plane.width),
    )
    for (let y = 0, i = 0; y < region.height; y++) {
      const [top_, bottom, v] = between(y + region.y, plate.height, plane.height)
      const at = (row: number, column: number) => shareOf(plane.data[row * plane.width + column] as number)
      for (const [left, right, u] of columns) {
        const above = mix(at(top_, left), u === 0 ? 0 : at(top_, right), u)
        share[i++] =
          v === 0 ? above : mix(above, mix(at(bottom, left), u === 0 ? 0 : at(bottom, right), u), v)
      }
    }
    return { region, share }
  }
}

/** @param v share of full code, or a float as it is; @returns metres; not above 0 or no number: none; endless where an inverse is 0 */
export function distanceOf(v: number, { unit, a, b }: DepthScale): number {
  const said = a * v + b
  if (unit === 'metres') return said
  return said === 0 ? Number.POSITIVE_INFINITY : 1 / said
}

/** How far away things of the plate are: metres at the middle of a pixel, and the nearest of all. */
export interface Distances {
  readonly at: (x: number, y: number) => number
  readonly nearestM: number
}

/** A map is read again and again in parts. */
const known = new WeakMap<NativeFrame, { readonly scale: DepthScale; readonly distances: Distances }>()

/** Four neighbours lie on one surface where the nearest of them is so many times as far as the farthest, or more: a choice. */
const ONE_SURFACE = 0.85

/**
 * Distances from a map of any size that lies over the whole plate; places beyond the plate have those of its border.
 *
 * Between its values 1/d is mixed, which runs straight over a flat surface in a picture; not where the four around a pixel lie on different
 * things, or one has no distance: what is half way between a near and a far thing is a place where nothing is, and would draw a rim of
 * a third blur around every edge. There the nearest value counts.
 */
export function distancesOf(
  map: NativeFrame,
  scale: DepthScale,
  plate: { readonly width: number; readonly height: number },
): Distances {
  const { unit, a, b } = scale
  const ready = known.get(map)
  if (ready?.scale.unit === unit && ready.scale.a === a && ready.scale.b === b) return ready.distances
  const { data, width, height } = map.planes[0] as NativeFrame['planes'][0]
  const top = topOf(map)
  const metres = (column: number, row: number) =>
    distanceOf((data[row * width + column] as number) / top, scale)
  let nearestM = Number.POSITIVE_INFINITY
  for (const v of data) {
    const d = distanceOf(v / top, scale)
    if (d > 0 && d < nearestM) nearestM = d
  }
  const columns = Array.from({ length: plate.width }, (_, x) => between(x, plate.width, width))
  const rows = Array.from({ length: plate.height }, (_, y) => between(y, plate.height, height))
  const inside = (i: number, count: number) => Math.min(Math.max(i, 0), count - 1)
  const at = (x: number, y: number) => {
    const [left, right, u] = columns[inside(x, plate.width)] as (typeof columns)[number]
    const [above, below, v] = rows[inside(y, plate.height)] as (typeof rows)[number]
    const nearest = metres(u < 0.5 ? left : right, v < 0.5 ? above : below)
    if (u === 0 && v === 0) return nearest
    const four = [
      metres(left, above),
      metres(right, above),
      metres(left, below),
      metres(right, below),
    ] as const
    if (!(Math.min(...four) >= ONE_SURFACE * Math.max(...four) && four[0] > 0)) return nearest
    const [p, q, r, s] = four
    return 1 / mix(mix(1 / p, 1 / q, u), mix(1 / r, 1 / s, u), v)
  }
  const distances = { at, nearestM }
  known.set(map, { scale, distances })
  return distances
}

/** The two values of the map between which the middle of a pixel lies, and how far it is on the way from one to the other. */
function between(pixel: number, pixels: number, values: number): [number, number, number] {
  if (pixels === values) return [pixel, pixel, 0]
  const at = Math.min(Math.max(((pixel + 0.5) * values) / pixels - 0.5, 0), values - 1)
  const first = Math.floor(at)
  return [first, Math.min(first + 1, values - 1), at - first]
}

function mix(a: number, b: number, t: number): number {
  return t === 0 ? a : a + t * (b - a)
}
