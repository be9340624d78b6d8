import { stat } from 'node:fs/promises'
import { Problem } from '../../core/index.js'
import type { OpenOptions, Source } from '../types.js'
import { openMovie } from './movie.js'
import { empty, noLayers } from './picture.js'
import { openPictures } from './pictures.js'
import { findPictures } from './sequenceName.js'

/**
 * Opens a movie, a still or a numbered sequence (`name.####.exr`, `name.%04d.exr`, its first file or its folder; which of
 * them one file means is said in `sequenceName.ts`).
 * Colour tags are resolved frame → container → stated assumption; rotation and variable rate are dealt with as
 * `media/RASTER.md` says. Close the source after use.
 *
 * @throws Problem `media.*`, exit 2: missing or unreadable file, hole in a sequence, interlaced, unsupported layout
 */
export async function openSource(path: string, options: OpenOptions = {}): Promise<Source> {
  await requireFile(path)
  const { inspect = false, still = false } = options
  const pictures = await findPictures(path, { holes: inspect, still })
  if (still && pictures?.kind !== 'still') throw noStill(path)
  if (pictures !== undefined) return openPictures(path, pictures, options)
  if (options.layer !== undefined) throw noLayers(path, options.layer)
  return openMovie(path, options)
}

/** A pipe or device would be waited for without end. A path that is none at all is told by whoever looks for its pictures. */
async function requireFile(path: string): Promise<void> {
  const info = await stat(path).catch(() => undefined)
  if (info === undefined || info.isDirectory() || (info.isFile() && info.size > 0)) return
  if (info.isFile()) throw empty(path)
  throw new Problem({
    code: 'media.not-a-file',
    what: 'This is no file or folder',
    where: path,
    expected: 'a movie, a picture or a folder of pictures',
    received: info.isFIFO() ? 'a pipe' : info.isSocket() ? 'a socket' : 'a device',
    remedy: 'Write what comes from there into a file first.',
  })
}

function noStill(path: string): Problem {
  return new Problem({
    code: 'media.no-still',
    what: 'Only one file of a picture can be read as a still',
    where: path,
    remedy: 'Name that file, or leave `still` out.',
  })
}
