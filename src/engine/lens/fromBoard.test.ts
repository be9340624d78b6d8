/** Boards painted through a known lens, and the chessboards of Debian's `opencv-doc` where that is installed. */
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { type Camera, discs, type Pattern, type Pose, painted, squares } from '../../../test/lens/boards.js'
import { chessboard } from '../../chain/lens/distortion/board/chessboard.js'
import { dots } from '../../chain/lens/distortion/board/dots.js'
import type { LightPicture } from '../../chain/lens/distortion/picture.js'
import { told } from '../../core/index.js'
import { calibrate, openVision, type Vision } from '../../vision/index.js'
import { fromViews } from './fromBoard.js'
import { asView, type Board, patternOf, viewsOf } from './views.js'

let vision: Vision
beforeAll(async () => {
  vision = await openVision()
})

const CAMERA: Camera = {
  ...{ width: 480, height: 300, focal: 420, middle: [246, 146] },
  terms: [-0.18, 0.05, 0.001, -0.002],
}
const POSES: readonly Pose[] = [
  { tilt: [0, 0, 3], at: [0, 0, 10] },
  { tilt: [28, 0, 0], at: [2.4, 1, 11] },
  { tilt: [-25, 10, 20], at: [-2.5, -1, 11] },
  { tilt: [5, 32, -8], at: [-2, 1.2, 11] },
  { tilt: [-8, -30, 45], at: [2.2, -1.1, 12] },
  { tilt: [20, 22, 90], at: [0.5, 0.4, 12] },
]

const views = (pattern: Pattern, board: Board, poses = POSES) => ({
  width: CAMERA.width,
  height: CAMERA.height,
  looked: 9,
  views: poses.map((pose, frame) => {
    const values = painted(CAMERA, pattern, pose, 90 + frame)
    return {
      frame,
      ...asView(patternOf({ width: CAMERA.width, height: CAMERA.height, values }, board, vision)),
    }
  }),
})

describe('a painted pattern', () => {
  it.each([
    ['chessboard', squares(9, 7), 48],
    ['dots', discs(9, 7), 63],
  ] as const)('%s: gives back the lens that it was painted through', (kind, pattern, count) => {
    const seen = views(pattern, { kind })
    for (const v of seen.views) expect(v.seen.length).toBeGreaterThan(0.85 * count)
    const { reading } = fromViews(seen, kind, vision)
    if (!told(reading)) throw new Error(reading.cannotTell)
    const { terms, axis } = reading.value
    const { spread = 0 } = reading.evidence as { spread?: number }
    const h = CAMERA.height / 2 / CAMERA.focal
    expect(Math.abs(terms[0]! / (CAMERA.terms[0] * h ** 2) - 1)).toBeLessThan(0.02)
    expect(Math.abs(terms[0]! - CAMERA.terms[0] * h ** 2)).toBeLessThan(3 * spread)
    expect(terms[2]).toBeCloseTo(CAMERA.terms[2] * h, 3)
    expect(terms[3]).toBeCloseTo(CAMERA.terms[3] * h, 3)
    expect(Math.abs(axis![0] * 150 - 6)).toBeLessThan(0.6)
    expect(Math.abs(axis![1] * 150 + 4)).toBeLessThan(0.6)
  })

  it('charuco: the library’s own board comes back with its numbers', () => {
    const board = { kind: 'charuco', columns: 9, rows: 7, mark: 0.7, marks: '4x4-50' } as const
    const raster = charucoRaster(9, 7, 0.7)
    const seen = views(raster, board)
    for (const v of seen.views) expect(v.seen.length).toBeGreaterThan(30)
    const { reading } = fromViews(seen, 'charuco', vision)
    if (!told(reading)) throw new Error(reading.cannotTell)
    const h = CAMERA.height / 2 / CAMERA.focal
    expect(Math.abs(reading.value.terms[0]! / (CAMERA.terms[0] * h ** 2) - 1)).toBeLessThan(0.03)
  })

  it('is not seen where there is none, and too few views tell nothing', () => {
    const [width, height] = [320, 200]
    const noise: LightPicture = {
      ...{ width, height },
      values: Float32Array.from({ length: width * height }, (_, i) => ((i * 7919) % 251) * 0.5 + 50),
    }
    const even: LightPicture = { width, height, values: new Float32Array(width * height).fill(80) }
    for (const picture of [noise, even]) {
      expect(chessboard(picture)).toEqual([])
      expect(dots(picture)).toEqual([])
    }
    const few = views(squares(9, 7), { kind: 'chessboard' }, POSES.slice(0, 3))
    const { reading } = fromViews(few, 'chessboard', vision)
    expect(reading).toEqual({
      cannotTell: expect.stringMatching(/3 different views of 9 frames; it takes 5/),
    })
  })
})

/** The board as the library draws it, 40 px a square. */
function charucoRaster(columns: number, rows: number, mark: number): Pattern {
  const side = 40
  const { data, cols } = vision.use((library, keep) => {
    const cv = library as unknown as Record<string, new (...a: unknown[]) => { delete(): void }> &
      typeof library
    const board = keep(
      new cv.aruco_CharucoBoard(
        new cv.Size(columns, rows),
        1,
        mark,
        keep(cv.getPredefinedDictionary(0)),
        keep(new cv.Mat()),
      ),
    ) as unknown as { generateImage(size: object, out: object, margin: number, bits: number): void }
    const out = keep(new cv.Mat())
    board.generateImage(new cv.Size(side * columns, side * rows), out, 0, 1)
    return { data: out.data.slice(), cols: out.cols }
  })
  return (x, y) => {
    const [u, v] = [Math.floor(side * (x + columns / 2)), Math.floor(side * (y + rows / 2))]
    if (u < 0 || v < 0 || u >= cols || v >= side * rows) return 210
    return 30 + (180 * data[v * cols + u]!) / 255
  }
}

const DATA = '/usr/share/doc/opencv-doc/examples/data'
const FILES = ['01', '02', '03', '04', '05', '06', '07', '08', '09', '11', '12', '13', '14'].map((n) =>
  join(DATA, `left${n}.jpg`),
)

describe.skipIf(!FILES.every((f) => existsSync(f)))(
  'chessboards of opencv-doc (skipped without them)',
  () => {
    // Debian's python3-opencv 4.6.0: findChessboardCorners 9 × 6, cornerSubPix (5, 5), calibrateCameraExtended with CALIB_FIX_K3:
    // fx 533.0912, fy 533.2162, k1 −0.2899875 ± 0.0033, k2 0.100368; run and written down outside this project.
    it('calibrate to the focal length and k1 of a general vision library within 1 %', async () => {
      const seen = await viewsOf(FILES, { kind: 'chessboard' }, vision, {}, () => {})
      expect(seen.views).toHaveLength(13)
      for (const v of seen.views) expect(v.seen.length).toBeGreaterThanOrEqual(53)
      const { focal, terms, spread, rms } = calibrate(vision, seen.views, 640, 480, false)
      expect(Math.abs(focal / 533.0912 - 1)).toBeLessThan(0.01)
      expect(Math.abs(focal / 533.2162 - 1)).toBeLessThan(0.01)
      expect(Math.abs(terms[0]! / -0.2899875 - 1)).toBeLessThan(0.01)
      expect(Math.abs(terms[1]! / 0.100368 - 1)).toBeLessThan(0.05)
      expect(spread.terms[0]).toBeLessThan(0.004)
      expect(rms).toBeLessThan(0.25)
    })
  },
)
