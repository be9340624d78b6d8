/** Writes the plate with a track's motion taken out, to look at and to paint on; `put.ts` puts back what was painted. */
import { type Carrying, overscan, steadyMap } from '../../chain/place/steady/view.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import type { ColourEncoding, NativeFrame, PixelLayout, Region } from '../../core/index.js'
import { Problem } from '../../core/index.js'
import { applyCurve, type Coding, curved, duringFrame, pack, unpack, warp } from '../../kernels/index.js'
import {
  createWriter,
  type DeliveryFormat,
  deliveryEncoding,
  deliveryFindings,
  deliveryLayout,
  type Source,
} from '../../media/index.js'
import type { Shot } from '../../shot/schema.js'
import { loadShot } from '../document.js'
import { shotRange } from '../plan.js'
import { bendOf } from '../plateSettings.js'
import { tracker } from '../progress.js'
import { withResponse } from '../response.js'
import { openPlate } from '../sources.js'
import { tablesOf } from '../tables.js'
import { lensOf } from '../track/lens.js'
import { findTracks, type KnownTrack, trackOf } from '../tracks.js'
import type { Job } from '../types.js'
import { carryingOf } from './carrying.js'
import { STEADY_VERSION, type SteadyNote } from './note.js'

export interface SteadyOptions {
  readonly track: string
  /** File for a movie; `name.####.exr` or a folder for a sequence. */
  readonly out: string
  readonly format: DeliveryFormat
  /** Grown so that no frame is cut; else the reference frame's own size. */
  readonly overscan?: boolean
  /** Frames of the shot, 0-based; those of the track when absent. */
  readonly frames?: { readonly first: number; readonly count: number }
}

export interface Steadied {
  readonly note: SteadyNote
  /** Frames on which the track is lost. */
  readonly lost: number
  readonly findings: readonly Problem[]
  readonly said: readonly string[]
}

/**
 * @throws Problem as `trackOf`, `createWriter`, `overscan`; `steady.no-such-frames`
 */
export async function steadyShot(path: string, options: SteadyOptions, job: Job = {}): Promise<Steadied> {
  const { shot, folder } = await loadShot(path)
  const plate = withResponse(await openPlate(shot, folder), shot)
  try {
    const track = trackOf(await findTracks(shot, folder, plate.info), options.track)
    const frames = framesOf(track, options.frames)
    const { width, height, encoding } = plate.info
    const lens = lensOf(bendOf({ plate: { width, height }, shot }))
    const ways = new Map(frames.map((f) => [f, carryingOf(track, f, lens)]))
    const view =
      options.overscan === true ? overscan(width, height, [...ways.values()]) : whole(width, height)
    const findings = await written(shot, plate, ways, view, options, job)
    return {
      note: noteOf(shot, options.track, track, frames, view, plate),
      findings: [...deliveryFindings(options.format, encoding, options.out), ...findings],
      lost: lostOf(track, frames),
      said: lostSaid(track, frames),
    }
  } finally {
    await plate.close()
  }
}

const whole = (width: number, height: number): Region => ({ x: 0, y: 0, width, height })

function framesOf(track: KnownTrack, asked: SteadyOptions['frames']): number[] {
  const known = track.frames.map((f) => f.frame)
  const [first, last] = [known[0] as number, known.at(-1) as number]
  const { first: from, count } = asked ?? { first, count: last - first + 1 }
  if (from < first || count < 1 || from + count - 1 > last)
    throw new Problem({
      code: 'steady.no-such-frames',
      what: 'The track does not know all the frames that are asked for',
      where: `tracks.${track.id}`,
      expected: `within ${first} to ${last}`,
      received: `${from} to ${from + count - 1}`,
    })
  return Array.from({ length: count }, (_, i) => from + i)
}

async function written(
  shot: Shot,
  plate: Source,
  ways: ReadonlyMap<number, Carrying>,
  view: Region,
  { out, format }: SteadyOptions,
  job: Job,
): Promise<readonly Problem[]> {
  const { info } = plate
  const frames = [...ways.keys()]
  const start = shotRange(shot, info.frameCount).first + (frames[0] as number)
  const layout = deliveryLayout(format, { alpha: true })
  const encoding = deliveryEncoding(format, info.encoding)
  const writer = await createWriter(out, {
    ...{ format, width: view.width, height: view.height, rate: info.rate, encoding },
    ...{ alpha: layout.alpha, inputs: [info.path], pixelAspect: info.pixelAspect },
    firstNumber: info.firstNumber + start,
  })
  const draw = drawer(info.encoding, encoding, layout, view)
  try {
    const tick = tracker(job, 'steady', frames.length)
    let i = 0
    for await (const native of plate.frames(start, frames.length)) {
      tick(i)
      await writer.write(draw(native, ways.get(frames[i] as number) as Carrying))
      i++
    }
    await writer.finish(job.signal)
    return writer.findings
  } catch (error) {
    await writer.abort()
    throw error
  }
}

/** Plate samples to light, drawn where the reference frame would see them, and back to code values. */
function drawer(from: ColourEncoding, to: ColourEncoding, layout: PixelLayout, view: Region) {
  const [decode, encode] = [tablesOf(from, 'decode'), tablesOf(to, 'encode')]
  return (native: NativeFrame, way: Carrying): NativeFrame =>
    duringFrame(() => {
      const decoded = unpack(native, from as Coding, whole(native.width, native.height))
      if (native.layout.float) replaceNotFinite(decoded)
      const { image } = warp(curved(decoded, decode), steadyMap(view, way), view)
      applyCurve(image, encode)
      return pack(image, layout, to as Coding)
    })
}

function noteOf(
  shot: Shot,
  id: string,
  track: KnownTrack,
  frames: readonly number[],
  view: Region,
  { info }: Source,
): SteadyNote {
  return {
    platefitSteady: STEADY_VERSION,
    ...{ track: id, sha256: shot.tracks.find((t) => t.id === id)?.data?.sha256 ?? '' },
    ...{ reference: track.reference, frames: { first: frames[0] as number, count: frames.length } },
    plate: { width: info.width, height: info.height },
    offset: [view.x, view.y],
    ...{ width: view.width, height: view.height },
  }
}

const lostOf = (track: KnownTrack, frames: readonly number[]) =>
  track.frames.filter((f) => f.state === 'lost' && frames.includes(f.frame)).length

function lostSaid(track: KnownTrack, frames: readonly number[]): string[] {
  const lost = lostOf(track, frames)
  if (lost === 0) return []
  return [
    `On ${lost} of ${frames.length} frames the track is lost; they are held as the last one before was.`,
  ]
}
