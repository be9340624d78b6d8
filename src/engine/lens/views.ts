/** Views of a calibration pattern out of footage: which frames are looked at, and what is found on them. */
import { chessboard, leastStep } from '../../chain/lens/distortion/board/chessboard.js'
import { dots } from '../../chain/lens/distortion/board/dots.js'
import type { GridPoint } from '../../chain/lens/distortion/board/grid.js'
import { refined } from '../../chain/lens/distortion/board/refine.js'
import type { LightPicture } from '../../chain/lens/distortion/picture.js'
import type { NativeFrame } from '../../core/index.js'
import { openSource } from '../../media/index.js'
import { type Charuco, charucoCorners, type PatternView, type Vision } from '../../vision/index.js'
import { spread } from '../samples.js'
import { lumaOf } from '../track/luma.js'
import type { Job } from '../types.js'

export type Board =
  | { readonly kind: 'chessboard' }
  | { readonly kind: 'dots' }
  | ({ readonly kind: 'charuco' } & Charuco)

export interface View extends PatternView {
  /** Of the footage, counted over all of its files. */
  readonly frame: number
}

export interface Views {
  readonly width: number
  readonly height: number
  readonly views: readonly View[]
  readonly looked: number
}

/** Frames that are looked at. */
const FRAMES = 40
/** A view that differs from the one before by less, of the picture's short side, tells nothing new. */
const SAME = 0.02

/** @throws Problem `lens.footage-sizes` @param files movies, sequences, or stills */
export async function viewsOf(
  files: readonly string[],
  board: Board,
  vision: Vision,
  job: Job,
  each: (done: number, total: number) => void,
): Promise<Views> {
  const views: View[] = []
  let size: { width: number; height: number } | undefined
  let [looked, before] = [0, 0]
  for (const [n, file] of files.entries()) {
    const source = await openSource(file, { still: files.length > 1 })
    try {
      const { width, height, frameCount } = source.info
      size ??= { width, height }
      // Of another size the same lens draws the same points elsewhere.
      if (size.width !== width || size.height !== height) continue
      const most = Math.max(1, Math.round(FRAMES / files.length))
      for (const number of spread(0, frameCount - 1, most)) {
        job.signal?.throwIfAborted()
        for await (const native of source.frames(number, 1)) {
          const found = patternOf(lightOf(native), board, vision)
          const view = { frame: before + number, ...asView(found) }
          if (found.length > 0 && isNew(view, views.at(-1), SAME * Math.min(width, height))) views.push(view)
        }
        looked++
        each(n + looked / (most * files.length + 1), files.length)
      }
      before += frameCount
    } finally {
      await source.close()
    }
  }
  return { width: size?.width ?? 0, height: size?.height ?? 0, views, looked }
}

export function lightOf(native: NativeFrame): LightPicture {
  const { width, height, data, step } = lumaOf(native)
  return { width, height, values: Float32Array.from(data, (v) => v / step) }
}

export function patternOf(light: LightPicture, board: Board, vision: Vision): readonly GridPoint[] {
  if (board.kind === 'chessboard') return chessboard(light)
  if (board.kind === 'dots') return dots(light)
  const grey = { ...light, data: Uint8Array.from(light.values, (v) => Math.min(Math.round(v), 255)) }
  const found = charucoCorners(vision, grey, board).map(({ at, i, j }) => ({ i, j, x: at[0], y: at[1] }))
  // The library's own places lie half a pixel off.
  const half = Math.min(Math.max(Math.floor(0.2 * leastStep(found)), 2), 8)
  return found.flatMap((p) => {
    const at = refined(light, p.x - 0.5, p.y - 0.5, half)
    return at === undefined ? [] : [{ ...p, x: at[0], y: at[1] }]
  })
}

export function asView(points: readonly GridPoint[]): PatternView {
  return { seen: points.map((p) => [p.x, p.y] as const), lies: points.map((p) => [p.i, p.j] as const) }
}

/** Whether the pattern's middle or reach has changed. */
function isNew(view: PatternView, before: PatternView | undefined, least: number): boolean {
  if (before === undefined) return true
  const box = ({ seen }: PatternView) => {
    const [xs, ys] = [seen.map((p) => p[0]), seen.map((p) => p[1])]
    return [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]
  }
  const [a, b] = [box(view), box(before)]
  return a.some((v, i) => Math.abs(v - (b[i] as number)) > least)
}
