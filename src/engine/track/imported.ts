/** A track that was made elsewhere: points are solved as those that were followed here, matrices and angles are taken as they are. */
import { resolve } from 'node:path'
import type { MotionFile, Size } from '../../chain/place/motion/exchange/file.js'
import { onPlate } from '../../chain/place/motion/exchange/onPlate.js'
import { framesOfFile, pointsOfFile } from '../../chain/place/motion/exchange/use.js'
import { normalised } from '../../chain/place/motion/matrix.js'
import { checkCarried } from '../../chain/place/raster/map.js'
import { Problem } from '../../core/index.js'
import { place, TRACK_VERSION, type Track, type TrackData } from '../../shot/index.js'
import type { Shot } from '../../shot/schema.js'
import { plateSettled } from '../plateSettings.js'
import { readMotion } from './exchange.js'
import type { Part } from './key.js'
import { turning } from './lens.js'
import { type Solved, solveTrack } from './solve.js'

/**
 * @throws Problem as `readMotion`, `solveTrack`, `checkCarried`; `track.file-asks` where more is asked of matrices than they are;
 *   `track.file-outside`
 */
export async function imported(
  shot: Shot,
  folder: string,
  { width, height }: Size,
  part: Part,
): Promise<TrackData> {
  const { track, madeFrom } = part
  const plate = { width, height }
  const name = track.file as string
  const file = onPlate(await readMotion(resolve(folder, name), name), plate)
  const { points, ...solved } = named(name, () =>
    file.kind === 'points' ? solvedOf(shot, plate, part, file) : asItIs(plate, part, file),
  )
  for (const f of solved.frames)
    checkCarried({ matrix: normalised(f.matrix) }, `${name}, frame ${f.frame} of the shot`)
  return {
    platefitTrack: TRACK_VERSION,
    ...{ id: track.id, madeFrom, plate, reference: track.reference },
    ...solved,
    ...{ points, jumps: [] },
    said: [...solved.said, ...file.assumed, ...straightSaid(shot)],
  }
}

type Made = Solved & Pick<TrackData, 'points'>

function solvedOf(
  shot: Shot,
  { width, height }: Size,
  { track, frames }: Part,
  file: Extract<MotionFile, { kind: 'points' }>,
): Made {
  const { points, said } = pointsOfFile(file.points, track.reference)
  const outside = points.find(({ from }) => !place.safeParse(from).success)
  if (outside !== undefined)
    throw new Problem({
      code: 'track.file-outside',
      what: 'A point lies far outside the picture on the reference frame',
      expected: `places about the plate's ${width}×${height}`,
      received: outside.from.join(', '),
      remedy: 'Say in the file how large the picture is that it was made on (`size`), or take the point out.',
    })
  const corrections = track.corrections ?? []
  const evidence = { reference: track.reference, frames, points, corrections }
  const solved = solveTrack(evidence, track.motion, turning(shot, width, height), track.region)
  return {
    ...solved,
    said: [...solved.said, ...said],
    points: points.map(({ from, seen }) => ({
      from: [...from],
      seen: seen.map((s) => [...s]),
    })) as Made['points'],
  }
}

function asItIs(plate: Size, { track, frames }: Part, file: Exclude<MotionFile, { kind: 'points' }>): Made {
  const motion = file.kind === 'angles' ? 'rotation' : 'homography'
  if ((track.motion ?? motion) !== motion) throw asksMore(track, `motion ${track.motion}`)
  if (track.corrections !== undefined) throw asksMore(track, 'corrections')
  const taken = framesOfFile(file, track.reference, frames, plate)
  return {
    ...{ motion, why: 'as its file has it', said: [...taken.said], points: [] },
    frames: taken.frames.map((f) => ({ ...f, matrix: [...f.matrix] })),
  }
}

function asksMore({ id }: Track, received: string): Problem {
  return new Problem({
    code: 'track.file-asks',
    what: 'The track’s file holds its motion, which is taken as it is',
    where: `tracks.${id}`,
    expected: 'neither corrections nor another kind of motion',
    received,
    remedy: 'Take that out of the track, or give it a file of points.',
  })
}

/** Distortion is known of the plate alone: a file's places are not bent back. */
function straightSaid(shot: Shot): readonly string[] {
  const bends = plateSettled(shot, 'lens.distortion')?.some((k) => k !== 0) === true
  return bends
    ? ['The plate’s lens distorts, and the file is taken as made on the plate without its distortion.']
    : []
}

/** What goes wrong with what a file holds names the file. */
function named<T>(file: string, work: () => T): T {
  try {
    return work()
  } catch (e) {
    if (e instanceof Problem && e.detail.where === undefined) throw new Problem({ ...e.detail, where: file })
    throw e
  }
}
