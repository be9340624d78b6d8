/** From what a file holds, on the plate, to the motion of a shot. */
import { Problem } from '../../../../core/index.js'
import { filled } from '../fill.js'
import { homography } from '../fit/models.js'
import type { Known, SolvedFrame } from '../known.js'
import { chained, IDENTITY, inverse, type Matrix3, type Place } from '../matrix.js'
import { cornersOf } from '../path.js'
import type { SeenPoint } from '../seen.js'
import { saidOf } from '../words.js'
import { motionOfAngles } from './angles.js'
import type { MotionFile, NamedPoint, Size } from './file.js'

/** Standard deviation that is assumed of places made elsewhere, px: nobody says it. */
export const ASSUMED_SPREAD_PX = 0.5
export const ASSUMED_SPREAD = `The file does not say how well its places are known: ${ASSUMED_SPREAD_PX} px is assumed.`

/**
 * Points of a file as `solveMotion` takes them. Those that the reference frame does not show are left out, and named.
 *
 * @throws Problem `place.motion-file` where that leaves none
 */
export function pointsOfFile(
  points: readonly NamedPoint[],
  reference: number,
): { points: readonly SeenPoint[]; said: readonly string[] } {
  const without: string[] = []
  const used = points.flatMap(({ name, seen }) => {
    const start = seen.find(([frame]) => frame === reference)
    if (start === undefined) {
      without.push(name === '' ? 'The point' : `Point ${name}`)
      return []
    }
    return [
      {
        from: [start[1], start[2]] as Place,
        seen: seen.map(([frame, x, y]) => [frame, x, y, ASSUMED_SPREAD_PX] as const),
      },
    ]
  })
  if (used.length === 0) throw noReference(reference)
  return {
    points: used,
    said: [...without.map((w) => `${w} is not seen on the reference frame, and not used.`), ASSUMED_SPREAD],
  }
}

/**
 * Frames of a motion from a file's matrices or angles, against the reference frame; what the file leaves out is bridged or lost.
 *
 * @throws Problem `place.motion-file` where it has nothing for the reference frame
 */
export function framesOfFile(
  file: Exclude<MotionFile, { kind: 'points' }>,
  reference: number,
  frames: { readonly first: number; readonly count: number },
  plate: Size,
): { frames: readonly SolvedFrame[]; said: readonly string[] } {
  const matrices =
    file.kind === 'matrices' ? fromReference(file.matrices, reference) : turned(file, reference, plate)
  const bridged = new Set(file.kind === 'matrices' ? file.bridged : [])
  const known = Array.from({ length: frames.count }, (_, i): Known | undefined => {
    const frame = frames.first + i
    const matrix = frame === reference ? IDENTITY : matrices.get(frame)
    if (frame !== reference && bridged.has(frame)) return undefined
    return matrix && { state: 'tracked', matrix, variance: frame === reference ? 0 : ASSUMED_SPREAD_PX ** 2 }
  })
  const corners = cornersOf([
    [0, 0],
    [plate.width, plate.height],
  ])
  const done = filled(
    known,
    known.map(() => 0),
    { model: homography, lens: undefined, corners },
    // What a file leaves out lies between its keys, however far they are apart.
    Number.POSITIVE_INFINITY,
  ).map((k, i) => ({
    frame: frames.first + i,
    state: k.state,
    // What was bridged elsewhere keeps that motion, with the spread that a bridge of ours would have.
    matrix: (k.state === 'bridged' ? matrices.get(frames.first + i) : undefined) ?? k.matrix,
    spreadPx: Math.sqrt(k.variance),
    agree: 0,
    seen: 0,
  }))
  const beyond = [...matrices.keys()].filter((f) => f < frames.first || f >= frames.first + frames.count)
  return { frames: done, said: [...saidOf(done, [], true), ...beyondSaid(beyond), ASSUMED_SPREAD] }
}

/** Often a first frame that is counted otherwise. */
function beyondSaid(frames: readonly number[]): string[] {
  if (frames.length === 0) return []
  const which =
    frames.length > 3
      ? `${frames.length} frames, ${Math.min(...frames)} to ${Math.max(...frames)},`
      : frames.join(', ')
  return [
    `Of its file ${which} lie outside the track's frames and are left out: see that it says its first frame rightly.`,
  ]
}

function fromReference(
  matrices: readonly { frame: number; matrix: Matrix3 }[],
  reference: number,
): Map<number, Matrix3> {
  const start = matrices.find((m) => m.frame === reference)
  if (start === undefined) throw noReference(reference)
  const back = inverse(start.matrix)
  return new Map(matrices.map(({ frame, matrix }) => [frame, chained(matrix, back)]))
}

function turned(
  file: Extract<MotionFile, { kind: 'angles' }>,
  reference: number,
  { width, height }: Size,
): Map<number, Matrix3> {
  const start = file.angles.find((a) => a.frame === reference)
  if (start === undefined) throw noReference(reference)
  const middle = file.middle ?? ([width / 2, height / 2] as const)
  return new Map(file.angles.map((a) => [a.frame, motionOfAngles(start, a, middle)]))
}

function noReference(reference: number): Problem {
  return new Problem({
    code: 'place.motion-file',
    what: 'the file shows nothing on the reference frame',
    expected: `frame ${reference} of the shot among its frames`,
    received: 'other frames',
    remedy: 'Choose another reference frame, or say in the file how it numbers frames (`first frame`).',
  })
}
