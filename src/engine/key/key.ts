/**
 * Keys a file: an element before a ground that is known becomes a sequence of premultiplied linear light with alpha, in its own primaries.
 *
 *   a coloured screen   its colour is told once, off frames over all of the file or at a place that a person shows; its light frame by
 *                       frame, since cameras drift. A frame that shows none of it is keyed with the light of the last one that did, and said
 *   a clean plate       the ground filmed alone, of any colour: its light is known at every pixel, and followed frame by frame
 *   two backings        the same pictures before two grounds of which both are known: nothing is guessed
 */
import { type Areas, areasOf } from '../../chain/source/screen/areas.js'
import { Problem } from '../../core/index.js'
import { type OpenOptions, openSource, type Source, type SourceInfo } from '../../media/index.js'
import type { Job } from '../types.js'
import { backingsOf, screenOf } from './how.js'
import { written } from './write.js'

type Place = readonly [number, number]

/** A file of the ground alone, of which the mean is taken, or one linear light: red, green and blue. */
export type Ground = string | readonly [number, number, number]

export interface KeyOptions {
  /** `name.####.exr` or a folder. */
  readonly out: string
  /** Of the file, 0-based; all when absent. */
  readonly frames?: { readonly first: number; readonly count: number } | undefined
  /** A place, in pixels of the file, where the first of these frames shows the screen alone. */
  readonly at?: { readonly x: number; readonly y: number } | undefined
  /** The ground without the element. */
  readonly clean?: Ground | undefined
  /** Frames of that file, or of this one, that show it alone; all when absent. */
  readonly cleanFrames?: { readonly first: number; readonly count: number } | undefined
  /** The same pictures before a second ground, and that without the element. */
  readonly second?: { readonly file: string; readonly clean: Ground } | undefined
  /** Polygons in pixels of the file within which nothing is kept. */
  readonly outside?: readonly (readonly Place[])[] | undefined
  /** The same within which all is the element. */
  readonly covered?: readonly (readonly Place[])[] | undefined
  /** Share of the screen's light on the element that is taken off, 0 to 1. */
  readonly spill: number
  readonly encoding?: OpenOptions['encoding']
  /** Starts over; else what was broken off goes on from its whole frames. */
  readonly fresh?: boolean
}

export interface KeyedFile {
  readonly frames: { readonly first: number; readonly count: number }
  /** Shares of red, green and blue in the light of a screen whose colour was looked for. */
  readonly screen?: readonly [number, number, number]
  /** Frames on which no screen is seen. */
  readonly without: readonly number[]
  /** Frames taken over from a call that was broken off. */
  readonly resumed: number
  readonly findings: readonly Problem[]
}

/**
 * The bytes depend on the files and on what is asked for alone, not on the number of threads. A call that was killed or cancelled leaves
 * its whole frames; the next one that asks for the same goes on after them.
 *
 * @throws Problem `key.no-screen`, `key.no-such-frames`, `key.no-such-place`, `key.wrong-size`, `key.no-clean`, `key.alike`;
 * `engine.stopped` when cancelled; as `openSource`, `createWriter`
 */
export async function keyFile(path: string, options: KeyOptions, job: Job = {}): Promise<KeyedFile> {
  const { encoding, second, outside = [], covered = [] } = options
  const asked = encoding === undefined ? {} : { encoding }
  const source = await openSource(path, asked)
  let other: Source | undefined
  try {
    other = second && (await openSource(second.file, asked))
    const frames = framesOf(source.info, options.frames)
    const areas: Areas | undefined = areasOf(source.info, outside, covered)
    const how =
      other === undefined || second === undefined
        ? await screenOf(source, frames, options, areas, job)
        : await backingsOf(source, other, frames, options, second.clean, job)
    return await written({ source, other, frames, how, areas }, options, job)
  } finally {
    await other?.close()
    await source.close()
  }
}

/** @throws Problem `key.no-such-frames` */
export function framesOf({ frameCount }: SourceInfo, asked: KeyOptions['frames'], option = '--frames') {
  const { first, count } = asked ?? { first: 0, count: frameCount }
  if (first + count <= frameCount) return { first, count }
  throw new Problem({
    code: 'key.no-such-frames',
    what: 'The file does not have all the frames that are asked for',
    where: option,
    expected: `within 0 to ${frameCount - 1}`,
    received: `${first} to ${first + count - 1}`,
  })
}
