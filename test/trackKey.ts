/** For tests that write tracks of their own: what such a file must say that it was made from, to fit the document that names it. */
import { parseShot } from '../src/engine/index.js'
import { openRecord } from '../src/engine/sources.js'
import { trackKeys } from '../src/engine/track/key.js'

/** @param document as data, with the track that is called `id` */
export async function madeFrom(document: unknown, folder: string, id: string): Promise<string> {
  const shot = parseShot(document, 'test')
  const track = shot.tracks.find((t) => t.id === id)
  if (track === undefined) throw new Error(`the document names no track ${id}`)
  const plate = await openRecord(shot.plate, folder)
  try {
    return (await trackKeys(shot, folder, plate.info))(track)
  } finally {
    await plate.close()
  }
}
