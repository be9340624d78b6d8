/**
 * Single frames of a shot at a working size, for looking while a document is changed: decoded frames stay in memory as small
 * linear pictures, and a frame is made in bands by several threads.
 *
 * It goes the render's way (`FrameMaker`) on pictures that are means over squares of pixels. What is thinner than a pixel of
 * the working size shows as its mean; grain has the variance and the width that such means leave of it, as the plate under it
 * has; a core is rebuilt and a floor taken off after the mean, where the render does both before.
 */
import type { Readout } from '../../colour/index.js'
import { Problem } from '../../core/index.js'
import type { Shot } from '../../shot/schema.js'
import type { Variant } from '../types.js'
import { Studio, type StudioOptions } from './studio.js'
import { type Look, type PreviewFrame, Viewer } from './viewer.js'

export interface PreviewOptions extends StudioOptions {
  /** Of the picture, in pixels; the plate's own width where that is less. */
  readonly width: number
}

export interface Preview {
  /**
   * @returns undefined when a later call came before this one was done
   * @throws Problem `engine.no-such-frame`; as `openSource` where the other shot names other files
   */
  frame(number: number, look?: Look): Promise<PreviewFrame | undefined>
  /**
   * What stands at a point, of each variant: means over a pixel of the working size.
   *
   * @param x, y plate pixels; the nearest one of the picture where they lie outside
   * @throws Problem as `frame`
   */
  values(number: number, x: number, y: number, shot?: Shot): Promise<Readonly<Record<Variant, Readout>>>
  close(): Promise<void>
}

/**
 * Opens a shot's files for previews.
 *
 * @param folder what the document's relative paths are relative to
 * @throws Problem as `openSource`; `engine.no-width`
 */
export async function openPreview(shot: Shot, folder: string, options: PreviewOptions): Promise<Preview> {
  const { width } = options
  if (!(width >= 1)) {
    throw new Problem({
      code: 'engine.no-width',
      what: 'A preview needs a width',
      expected: 'at least 1 px',
      received: String(width),
    })
  }
  const studio = new Studio(options)
  const viewer = new Viewer(folder, studio)
  await viewer.open(shot)
  return {
    frame: (number, look) => viewer.frame(number, { shot, ...look, width }),
    values: (number, x, y, other = shot) => viewer.values(number, x, y, { shot: other, width }),
    async close() {
      // The threads too at once: what the files wait for is wanted no more.
      await Promise.all([viewer.close(), studio.close()])
    },
  }
}
