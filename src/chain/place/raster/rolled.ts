/** What moves while the rows are read: each row sees it where it is at that row's time. */
import type { Matrix3 } from '../../../colour/index.js'
import { isCarried, matrixOf, type PlaceMap, placed } from './map.js'

/** Moves below this over the whole of it are none, px. */
const STILL = 1 / 64

/**
 * @param when where it stands some frames after the one that is meant; undefined where it is nowhere
 * @param later frames by which a row is later than the one for which its place is said
 */
export function rolled(
  map: PlaceMap,
  when: (later: number) => PlaceMap | undefined,
  later: (y: number) => number,
): PlaceMap {
  const own = planeOf(map)
  if (own === undefined) return map
  let [row, matrix] = [Number.NaN, own]
  const rows = (y: number): Matrix3 => {
    if (y !== row) [row, matrix] = [y, planeOf(when(later(y))) ?? own]
    return matrix
  }
  return { matrix: own, rows }
}

/** A surface with a mesh has no single motion. */
function planeOf(map: PlaceMap | undefined): Matrix3 | undefined {
  if (map === undefined) return undefined
  if (!isCarried(map)) return matrixOf(map)
  return 'mesh' in map ? undefined : map.matrix
}

/** Whether any corner of a picture lies elsewhere under the one than under the other. */
export function moves(a: PlaceMap, b: PlaceMap, width: number, height: number): boolean {
  return [
    [0, 0],
    [width, 0],
    [width, height],
    [0, height],
  ].some(([x = 0, y = 0]) => {
    const [[ax, ay], [bx, by]] = [placed(a, x, y), placed(b, x, y)]
    return Math.abs(ax - bx) > STILL || Math.abs(ay - by) > STILL
  })
}
