/** A movie file as a source: constant rate, upright, its own planes. */
import { AV_PKT_DATA_DISPLAYMATRIX, AVMEDIA_TYPE_AUDIO } from 'node-av/constants'
import { avGetCodecName, type FormatContext } from 'node-av/lib'
import { type NativeFrame, Problem } from '../../core/index.js'
import { fromAvFrame } from '../avframe.js'
import type { FrameRoom, OpenOptions, Rate, Source, SourceInfo } from '../types.js'
import { type Crop, cropFor, cropFrame, croppedLook, isCut } from './aperture.js'
import { type Container, isPicture, openContainer } from './container.js'
import { isDamaged, openDecoder } from './decoder.js'
import { describe } from './describe.js'
import { fieldOrderOf, interlaced, type Look, lookAt, ratio, refuseInterlaced, requireAlike } from './look.js'
import { isUpright, type Orientation, orientFrame } from './orient.js'
import { type Numbered, reach, run } from './run.js'
import { sampleTable } from './sampleTable.js'
import { type Scan, scan } from './scan.js'
import { GIVEN } from './tags.js'
import { conform, retime, type Timeline } from './timeline.js'

/** @throws Problem when the file cannot be read, holds no frames, is interlaced or of an unsupported layout */
export async function openMovie(path: string, options: OpenOptions): Promise<Source> {
  const container = await openContainer(path)
  try {
    const scanned = (await sampleTable(path, container.stream)) ?? (await scan(container))
    const { threads, inspect = false } = options
    const cutShort = shortened(path, scanned.packets, Number(container.stream.nbFrames))
    if (cutShort !== undefined && !inspect) throw cutShort
    if (scanned.count === 0) throw noFrames(path, 'the picture track is empty')
    const { look: first, fieldOrder } = await firstLook(path, scanned, inspect)
    const { crop, findings: cut } = cropFor(container.aperture, first, path)
    const timeline =
      options.rate === undefined ? timelineOf(container, scanned) : retime(scanned.count, options.rate)
    const decoder = await openDecoder(container.stream, path, 1)
    decoder.context.freeContext()
    const described = describe({
      where: path,
      look: croppedLook(first, crop),
      streamTags: container.tags,
      streamMatrix: container.stream.codecpar.getCodedSideData(AV_PKT_DATA_DISPLAYMATRIX) ?? undefined,
      streamAspect: streamAspect(container),
      codec: avGetCodecName(container.stream.codecpar.codecId) ?? decoder.name,
      guesses: {},
      overrides: options.encoding ?? {},
      evidence: options.evidence,
    })
    const timecode = timecodeOf(container.format)
    const audio = audioOf(container.format)
    const info: SourceInfo = {
      path,
      kind: 'movie',
      container: container.format.iformat?.name ?? 'unknown',
      ...(decoder.profile === undefined ? {} : { profile: decoder.profile }),
      ...described.info,
      rate: timeline.rate,
      rateEvidence:
        options.rate === undefined
          ? { kind: 'measured', frames: [], method: `timestamps: ${timeline.why}`, confidence: 1 }
          : (options.evidence?.rate ?? GIVEN),
      frameCount: timeline.map.length,
      durationSeconds: (timeline.map.length * timeline.rate.den) / timeline.rate.num,
      firstNumber: 0,
      ...(timecode === undefined ? {} : { timecode }),
      ...(audio === undefined ? {} : { audio }),
      conform: { repeated: timeline.repeated, dropped: timeline.dropped },
      ...(fieldOrder === undefined ? {} : { fieldOrder }),
      findings: [
        ...(fieldOrder === undefined ? [] : [interlaced(path, fieldOrder)]),
        ...(cutShort === undefined ? [] : [cutShort]),
        ...described.info.findings,
        ...cut,
        ...movieFindings(path, container.format, timeline),
      ],
    }
    return new Movie(info, scanned, timeline, {
      first,
      crop,
      orientation: described.orientation,
      threads,
      inspect,
    })
  } finally {
    await container.format.closeInput()
  }
}

/** From a picture as it is stored to the picture as it is seen. */
interface Shape {
  /** Every picture must be stored like the first. */
  readonly first: Look
  readonly crop: Crop
  readonly orientation: Orientation
  readonly threads: number | undefined
  /** Interlaced pictures are given as they are. */
  readonly inspect: boolean
}

class Movie implements Source {
  readonly info: SourceInfo
  readonly #scan: Scan
  readonly #timeline: Timeline
  readonly #shape: Shape
  /** Decoding that stopped where a next call may go on. */
  #idle: { frames: AsyncGenerator<Numbered, void, undefined>; next: number } | undefined

  constructor(info: SourceInfo, scanned: Scan, timeline: Timeline, shape: Shape) {
    this.info = info
    this.#scan = scanned
    this.#timeline = timeline
    this.#shape = shape
  }

  async *frames(first = 0, count?: number, room?: FrameRoom): AsyncGenerator<NativeFrame, void, undefined> {
    const map = this.#timeline.map
    const end = Math.min(map.length, count === undefined ? map.length : first + count)
    if (first >= end) return
    let session = await this.#resume(map[first] as number)
    let again: NativeFrame | undefined
    let whole = false
    try {
      for (let j = first; j < end; j++) {
        const wanted = map[j] as number
        const frame = again ?? (await this.#pull(session, wanted, j, room))
        session = { ...session, next: wanted + 1 }
        // Taken before the frame leaves: whoever gets it may change it.
        again = j + 1 < end && map[j + 1] === wanted ? copy(frame) : undefined
        whole = true
        yield frame
        whole = false
      }
      whole = true
    } finally {
      if (whole) await this.#keep(session)
      else await session.frames.return()
    }
  }

  reach(frame: number): number {
    return reach(this.#scan, this.#timeline.map[frame] ?? 0)
  }

  async close(): Promise<void> {
    const idle = this.#idle
    this.#idle = undefined
    await idle?.frames.return()
  }

  async #resume(wanted: number) {
    const idle = this.#idle
    this.#idle = undefined
    // Opening anew costs about what two frames cost.
    const ahead = reach(this.#scan, wanted) + 2
    if (idle !== undefined && idle.next <= wanted && wanted - idle.next < ahead) return idle
    await idle?.frames.return()
    return { frames: run(this.info.path, this.#scan, wanted, this.#shape.threads), next: 0 }
  }

  async #keep(session: { frames: AsyncGenerator<Numbered, void, undefined>; next: number }): Promise<void> {
    const other = this.#idle
    this.#idle = session
    await other?.frames.return()
  }

  async #pull(
    session: { frames: AsyncGenerator<Numbered, void, undefined> },
    wanted: number,
    shown: number,
    room: FrameRoom | undefined,
  ) {
    const where = `${this.info.path}, frame ${shown}`
    for (;;) {
      const got = await session.frames.next()
      if (got.done || got.value.index > wanted) throw damaged(where, 'the decoder gave no picture')
      const { index, frame } = got.value
      if (index < wanted) continue
      if (isDamaged(frame)) throw damaged(where, 'the decoder reports errors in the picture')
      const { first, crop, orientation, inspect } = this.#shape
      if (!inspect) refuseInterlaced(frame, where)
      requireAlike(lookAt(frame, where), first, where)
      const moved = isCut(crop) || !isUpright(orientation)
      const whole = fromAvFrame(frame, where, moved ? undefined : room)
      return moved ? orientFrame(cropFrame(whole, crop), orientation, this.info.layout) : whole
    }
  }
}

async function firstLook(path: string, scanned: Scan, inspect: boolean) {
  // By one thread: several would each decode a picture before the first came out.
  for await (const { frame } of run(path, scanned, 0, 1)) {
    if (!inspect) refuseInterlaced(frame, path)
    return { look: lookAt(frame, path), fieldOrder: fieldOrderOf(frame) }
  }
  throw noFrames(path, 'no picture could be decoded')
}

function timelineOf(container: Container, scanned: Scan): Timeline {
  const { stream } = container
  const declared = [stream.rFrameRate, stream.avgFrameRate].map((r): Rate => ({ num: r.num, den: r.den }))
  const known = declared.find((r) => r.num > 0 && r.den > 0) ?? { num: 25, den: 1 }
  if (scanned.pts.length === 0) {
    return { ...retime(scanned.count, known), why: 'the file has no timestamps; its declared rate is taken' }
  }
  return conform(
    Array.from(scanned.pts, (t) => t * scanned.tick),
    scanned.lastStep > 0 ? scanned.lastStep : known.den / known.num,
    declared,
  )
}

function streamAspect(c: Container): Rate | undefined {
  const { num, den } = c.stream.sampleAspectRatio
  return ratio(num, den)
}

function timecodeOf(format: FormatContext): string | undefined {
  for (const s of format.streams) {
    const found = s.metadata?.get('timecode')
    if (found) return found
  }
  return format.metadata?.get('timecode') ?? undefined
}

function audioOf(format: FormatContext): SourceInfo['audio'] {
  const p = format.streams[format.findBestStream(AVMEDIA_TYPE_AUDIO)]?.codecpar
  if (p === undefined) return undefined
  return { codec: avGetCodecName(p.codecId) ?? 'unknown', channels: p.channels, sampleRate: p.sampleRate }
}

function movieFindings(path: string, format: FormatContext, timeline: Timeline): Problem[] {
  const out: Problem[] = []
  const { repeated, dropped, rate } = timeline
  if (repeated.length + dropped.length > 0) {
    out.push(
      new Problem({
        code: 'media.variable-rate',
        what: `The frames do not come at a constant rate; they are shown at ${rate.num}/${rate.den}`,
        where: path,
        received: `${repeated.length} frames repeated, ${dropped.length} left out`,
        remedy:
          'Motion may stutter there; the numbers are listed. Record or transcode at a constant rate if you can.',
      }),
    )
  }
  const videos = format.streams.filter(isPicture).length
  if (videos > 1) {
    out.push(
      new Problem({
        code: 'media.several-videos',
        what: 'The file holds several picture tracks; the main one is used',
        where: path,
        received: `${videos} tracks`,
        remedy: 'If another one is meant, copy that track into a file of its own.',
      }),
    )
  }
  return out
}

function copy(frame: NativeFrame): NativeFrame {
  return { ...frame, planes: frame.planes.map((p) => ({ ...p, data: p.data.slice() })) }
}

/** A file whose index stands at its front stays readable when its end is lost: better said than found out later. */
function shortened(path: string, packets: number, indexed: number): Problem | undefined {
  if (packets >= indexed) return undefined
  return new Problem({
    code: 'media.file-cut-short',
    what: 'The file is cut short: its index names more frames than it holds',
    where: path,
    expected: `${indexed} frames`,
    received: `${packets}`,
    remedy: 'Copy it again from the card; if that is lost, transcode what is left to a new file.',
  })
}

function noFrames(path: string, received: string): Problem {
  return new Problem({
    code: 'media.no-frames',
    what: 'The file gives no frame',
    where: path,
    received,
    remedy: 'Copy it again from the card or export it again.',
  })
}

function damaged(where: string, received: string): Problem {
  return new Problem({
    code: 'media.damaged-frame',
    what: 'This frame is damaged',
    where,
    received,
    remedy: 'Copy the file again from the card, or cut the clip so that it leaves the frame out.',
  })
}
