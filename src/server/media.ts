/** What a file of the folder is, told by opening it. */
import { openSource } from '../media/index.js'
import type { MediaFacts } from './protocol.js'

/** @throws Problem as `openSource` */
export async function mediaFacts(path: string): Promise<MediaFacts> {
  const source = await openSource(path)
  await source.close()
  const { kind, width, height, layout } = source.info
  return { kind, width, height, alpha: layout.alpha }
}
