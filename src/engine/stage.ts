/** What stands on the stage: every file of a shot in one line, and where each element is placed, without looking at a pixel. */
import { elementFrame } from '../chain/shutter/cadence/model.js'
import { type Evidence, layoutName, Problem, primariesWords } from '../core/index.js'
import type { SourceInfo } from '../media/index.js'
import { evidenceOf, type OverrideName } from '../shot/overrides.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { cadenceOf } from './cadence.js'
import { pictureOf, shotRange } from './plan.js'
import { metresPerPixel, scaleOf } from './settings.js'
import { openRecord } from './sources.js'

/** A file as it was found, or why it cannot be opened. */
export type Found = SourceInfo | Problem

/** The shot's files by `plate` and the elements' ids. */
export type FilesFound = ReadonlyMap<string, Found>

/** What a file is taken for in one respect, and how sure that is where neither the file nor a person says it. */
export interface Taken {
  readonly field: OverrideName
  readonly value: string
  /** 0 to 1. */
  readonly assumed?: number
}

export interface StagedFile {
  readonly file: string
  /** `1920×1080, 120 frames at 24, pq, bt2020, yuv420p10`. */
  readonly facts: string
  /** Empty where it cannot be opened. */
  readonly taken: readonly Taken[]
  readonly problem?: Problem
}

export interface StagedElement extends StagedFile {
  readonly id: string
  /** Of its picture, px. */
  readonly width: number
  readonly height: number
  /** First frame of the shot on which it shows, and on how many. */
  readonly first: number
  readonly shown: number
  /** Plate pixels per element pixel before keys; undefined where what is said gives none. */
  readonly scale: number | undefined
  /** Real height in metres, given or from scale, distance and camera. */
  readonly heightM: number | undefined
}

export interface Stage {
  readonly plate: StagedFile & {
    readonly width: number
    readonly height: number
    /** Of the shot. */
    readonly frames: number
    /** Frames a second. */
    readonly rate: number
  }
  readonly elements: readonly StagedElement[]
}

/** Opens one after the other the files that a shot names. */
export async function findFiles(shot: Shot, folder: string): Promise<FilesFound> {
  const found = new Map<string, Found>()
  for (const record of [{ ...shot.plate, id: 'plate' }, ...shot.elements]) {
    found.set(record.id, await find(record, folder))
  }
  return found
}

async function find(record: Parameters<typeof openRecord>[0], folder: string): Promise<Found> {
  try {
    const source = await openRecord(record, folder)
    await source.close()
    return source.info
  } catch (e) {
    if (e instanceof Problem) return e
    throw e
  }
}

/** Pure: the same document on the same files. */
export function stageOf(shot: Shot, found: FilesFound): Stage {
  const plate = found.get('plate')
  const info = plate instanceof Problem ? undefined : plate
  return {
    plate: {
      ...lineOf(shot.plate, plate),
      width: info?.width ?? 0,
      height: info?.height ?? 0,
      frames: info === undefined ? 0 : shotRange(shot, info.frameCount).count,
      rate: info === undefined ? 0 : info.rate.num / info.rate.den,
    },
    elements: shot.elements.map((e) => staged(e, shot, info, found.get(e.id))),
  }
}

function staged(
  e: ShotElement,
  shot: Shot,
  plate: SourceInfo | undefined,
  found: Found | undefined,
): StagedElement {
  const line = { id: e.id, ...lineOf(e, found) }
  if (found === undefined || found instanceof Problem || plate === undefined) {
    return {
      ...line,
      width: 0,
      height: 0,
      first: e.startFrame,
      shown: 0,
      scale: undefined,
      heightM: undefined,
    }
  }
  const [picture, under] = [pictureOf(found), pictureOf(plate)]
  const { width, height } = found
  const scale = orNothing(() => scaleOf(e, picture, shot, plate.width))
  const metres = scale && orNothing(() => metresPerPixel(e, picture, { shot, plate: under }))
  const cadence = cadenceOf(e, picture, under, shot)
  const on = [...Array(shotRange(shot, plate.frameCount).count).keys()].filter(
    (n) => elementFrame(cadence, n) !== undefined,
  )
  const frames = { first: on[0] ?? e.startFrame, shown: on.length }
  return { ...line, width, height, ...frames, scale, heightM: scale && metres && metres * height * scale }
}

/** What the document says gives no number yet: that is no failure of a look. */
function orNothing(work: () => number | undefined): number | undefined {
  try {
    return work()
  } catch (e) {
    if (e instanceof Problem) return undefined
    throw e
  }
}

function lineOf(record: Shot['plate'] | ShotElement, found: Found | undefined): StagedFile {
  const { file } = record
  if (found === undefined) return { file, facts: '', taken: [] }
  if (found instanceof Problem) return { file, facts: '', taken: [], problem: found }
  return { file, facts: fileLine(found), taken: takenFor(record, found) }
}

function takenFor(record: Shot['plate'] | ShotElement, i: SourceInfo): Taken[] {
  const { num, den } = i.rate
  const one = (field: OverrideName, value: string, evidence: Evidence | undefined): Taken => ({
    field,
    value,
    ...(evidence?.kind === 'assumed' ? { assumed: evidence.confidence } : {}),
  })
  const coding = (['range', 'matrix', 'curve', 'primaries'] as const).flatMap((field) => {
    const value = i.encoding[field]
    // Chromaticities of a file's own have no name.
    return typeof value === 'string' ? [one(field, value, i.encodingEvidence[field])] : []
  })
  const rate = one('rate', den === 1 ? `${num}` : `${num}/${den}`, i.rateEvidence)
  if (!('alpha' in record)) return [...coding, ...(i.frameCount > 1 ? [rate] : [])]
  return [
    one('alpha', record.alpha, evidenceOf(record, 'alpha')),
    ...coding,
    ...(i.frameCount > 1 ? [rate] : []),
  ]
}

/** What a file is, in one line. */
function fileLine(i: SourceInfo): string {
  const rate = Number((i.rate.num / i.rate.den).toFixed(3))
  const length = i.frameCount === 1 ? 'one picture' : `${i.frameCount} frames at ${rate}`
  const colour = `${i.encoding.curve}, ${primariesWords(i.encoding.primaries)}`
  return `${i.width}×${i.height}, ${length}, ${i.codec}, ${layoutName(i.layout)}, ${colour}`
}
