/**
 * Keys a file: an element before a ground that is known becomes a sequence of premultiplied linear light with alpha, in its own primaries.
 *
 *   a coloured screen   its colour is told once, off frames over all of the file or at a place that a person shows; its light frame by
 *                       frame, since cameras drift. A frame that shows none of it is keyed with the light of the last one that did, and said
 *   a clean plate       the ground filmed alone, of any colour: its light is known at every pixel, and followed frame by frame
 *   a matte             a file says what the element covers; the ground behind is taken off where it is known
 *   two backings        the same pictures before two grounds of which both are known: nothing is guessed
 */
import { type Areas, areasOf } from '../../chain/source/screen/areas.js'
import { Problem } from '../../core/index.js'
import { openSource, type Source } from '../../media/index.js'
import type { Job } from '../types.js'
import { framesOf } from './frames.js'
import { backingsOf, byMatte, screenOf } from './how.js'
import { Mattes } from './mattes.js'
import type { KeyedFile, KeyOptions } from './types.js'
import { written } from './write.js'

/**
 * The bytes depend on the files and on what is asked for alone, not on the number of threads. A call that was killed or cancelled leaves
 * its whole frames; the next one that asks for the same goes on after them.
 *
 * @throws Problem `key.no-screen`, `key.no-such-frames`, `key.no-such-place`, `key.wrong-size`, `key.no-clean`, `key.alike`, `key.other-grounds`, `key.matte-frames`, `key.two-ways`;
 * `engine.stopped` when cancelled; as `openSource`, `createWriter`
 */
export async function keyFile(path: string, options: KeyOptions, job: Job = {}): Promise<KeyedFile> {
  const { encoding, second, outside = [], covered = [] } = options
  if (options.matte !== undefined && second !== undefined)
    throw new Problem({
      code: 'key.two-ways',
      what: 'A matte that is given and a second ground both say what the element covers',
      where: '--matte, --other',
      expected: 'one of them',
      received: 'both',
    })
  const asked = encoding === undefined ? {} : { encoding }
  const source = await openSource(path, asked)
  let other: Source | undefined
  let mattes: Mattes | undefined
  try {
    other = second && (await openSource(second.file, asked))
    const frames = framesOf(source.info, options.frames)
    const areas: Areas | undefined = areasOf(source.info, outside, covered)
    mattes = await Mattes.open(source, frames, options)
    const how =
      options.matte !== undefined
        ? await byMatte(source, options, job)
        : other === undefined || second === undefined
          ? await screenOf(source, frames, options, areas, job)
          : await backingsOf(source, other, frames, options, second.clean, job)
    return await written({ source, other, frames, how, mattes, areas }, options, job)
  } finally {
    await mattes?.close()
    await other?.close()
    await source.close()
  }
}
