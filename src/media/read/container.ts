/** Opening a container and choosing its picture track; every failure says what to do. */
import {
  AV_DISPOSITION_ATTACHED_PIC,
  AV_DISPOSITION_TIMED_THUMBNAILS,
  AVMEDIA_TYPE_VIDEO,
} from 'node-av/constants'
import { FormatContext, type Stream } from 'node-av/lib'
import { Problem } from '../../core/index.js'
import { type Aperture, apertureOf } from './aperture.js'
import { indexless } from './boxes.js'
import { openInput, unopened } from './input.js'
import { reason } from './library.js'
import type { RawTags } from './tags.js'

export interface Container {
  readonly format: FormatContext
  readonly stream: Stream
  /** As the container wrote them, read before the library looks into the pictures. */
  readonly tags: RawTags
  readonly aperture: Aperture
}

/** @throws Problem `media.file-unreadable`, `media.index-missing`, `media.no-video` */
export async function openContainer(path: string): Promise<Container> {
  const format = new FormatContext()
  const opened = await openInput(format, path)
  if (opened < 0) throw (await withoutIndex(path)) ?? unreadable(path, unopened(opened))
  try {
    const tags = format.streams.map(rawTags)
    const apertures = format.streams.map(apertureOf)
    const found = await format.findStreamInfo()
    if (found < 0) throw unreadable(path, reason(found))
    const stream = bestVideo(format)
    if (stream === undefined) throw noVideo(path, format)
    return {
      format,
      stream,
      tags: tags[stream.index] ?? rawTags(stream),
      aperture: apertures[stream.index] ?? apertureOf(stream),
    }
  } catch (error) {
    await format.closeInput()
    throw error
  }
}

function rawTags(stream: Stream): RawTags {
  const p = stream.codecpar
  return {
    range: p.colorRange,
    primaries: p.colorPrimaries,
    curve: p.colorTrc,
    matrix: p.colorSpace,
    siting: p.chromaLocation,
  }
}

function bestVideo(format: FormatContext): Stream | undefined {
  const best = format.streams[format.findBestStream(AVMEDIA_TYPE_VIDEO)]
  if (best !== undefined && isPicture(best)) return best
  return format.streams
    .filter(isPicture)
    .sort((a, b) => b.codecpar.width * b.codecpar.height - a.codecpar.width * a.codecpar.height)[0]
}

/** A track of moving pictures: no sound, no cover art, no thumbnails. */
export function isPicture(s: Stream): boolean {
  const cover =
    s.hasDisposition(AV_DISPOSITION_ATTACHED_PIC) || s.hasDisposition(AV_DISPOSITION_TIMED_THUMBNAILS)
  return s.codecpar.codecType === AVMEDIA_TYPE_VIDEO && !cover
}

async function withoutIndex(path: string): Promise<Problem | undefined> {
  const data = await indexless(path)
  if (data === undefined) return undefined
  return new Problem({
    code: 'media.index-missing',
    what: 'The movie has no index: it was cut off before its end was written',
    where: path,
    expected: 'a box named moov, which says where each frame lies',
    received: `${(data / 1e6).toFixed(data < 1e7 ? 2 : 0)} MB of picture and sound that nothing names`,
    remedy: 'Copy it again from the card; if it is so there too, let the camera that made it repair it.',
  })
}

function unreadable(path: string, why: string): Problem {
  return new Problem({
    code: 'media.file-unreadable',
    what: 'The file is no picture or movie that can be read, or it is cut short',
    where: path,
    received: why,
    remedy:
      'Copy it again from the card or export it again; a movie cut off while recording lacks its index. Of a list, give the files that it names.',
  })
}

function noVideo(path: string, format: FormatContext): Problem {
  const kinds =
    format.streams.length === 0
      ? 'no tracks'
      : `${format.streams.length} tracks, none of them moving pictures`
  return new Problem({
    code: 'media.no-video',
    what: 'The file holds no moving pictures',
    where: path,
    received: kinds,
    remedy: 'Choose another file; cover art does not count.',
  })
}
