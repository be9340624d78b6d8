/** Corners of a chessboard whose white squares hold marks that say which squares they are. Source: [garrido2014], the library's own. */
import type { Library } from './library.js'
import { type Grey, matOf, type Place, placesOf, type Vision } from './vision.js'

export interface Charuco {
  /** Squares across and down. */
  readonly columns: number
  readonly rows: number
  /** Side of a mark over that of a square. */
  readonly mark: number
  /** Bits and number of the marks' set: `4x4-50`. */
  readonly marks: MarkSet
}

export const markSets = [
  ...['4x4-50', '4x4-100', '4x4-250', '4x4-1000', '5x5-50', '5x5-100', '5x5-250', '5x5-1000'],
  ...['6x6-50', '6x6-100', '6x6-250', '6x6-1000', '7x7-50', '7x7-100', '7x7-250', '7x7-1000'],
] as const
export type MarkSet = (typeof markSets)[number]

/** Inner corners that are seen, with their columns and rows. */
export function charucoCorners(
  vision: Vision,
  picture: Grey,
  { columns, rows, mark, marks }: Charuco,
): { readonly at: Place; readonly i: number; readonly j: number }[] {
  return vision.use((cv, keep) => {
    const set = keep(cv.getPredefinedDictionary(numberOf(cv, marks)))
    const board = keep(
      new cv.aruco_CharucoBoard(new cv.Size(columns, rows), 1, mark, set, keep(new cv.Mat())),
    )
    const detector = keep(
      new cv.aruco_CharucoDetector(
        board,
        keep(new cv.aruco_CharucoParameters()),
        keep(new cv.aruco_DetectorParameters()),
        keep(new cv.aruco_RefineParameters(10, 3, true)),
      ),
    )
    const [corners, ids] = [keep(new cv.Mat()), keep(new cv.Mat())]
    const [markCorners, markIds] = [keep(new cv.MatVector()), keep(new cv.Mat())]
    detector.detectBoard(matOf(cv, keep, picture), corners, ids, markCorners, markIds)
    return placesOf(corners).map((at, k) => {
      const id = ids.data32S[k] as number
      return { at, i: id % (columns - 1), j: Math.floor(id / (columns - 1)) }
    })
  })
}

function numberOf(cv: Library, set: MarkSet): number {
  return cv[`DICT_${set.toUpperCase().replace('-', '_')}`] as number
}
