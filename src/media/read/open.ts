import type { OpenOptions, Source } from '../types.js'
import { openMovie } from './movie.js'
import { noLayers } from './picture.js'
import { openPictures } from './pictures.js'
import { findPictures } from './sequenceName.js'

/**
 * Opens a movie, a still or a numbered sequence (`name.####.exr`, `name.%04d.exr`, its first file or its folder).
 * Colour tags are resolved frame → container → stated assumption; rotation and variable rate are dealt with as
 * `media/RASTER.md` says. Close the source after use.
 *
 * @throws Problem `media.*`, exit 2: missing or unreadable file, hole in a sequence, interlaced, unsupported layout
 */
export async function openSource(path: string, options: OpenOptions = {}): Promise<Source> {
  const pictures = await findPictures(path, options.inspect)
  if (pictures !== undefined) return openPictures(path, pictures, options)
  if (options.layer !== undefined) throw noLayers(path, options.layer)
  return openMovie(path, options)
}
