import type { MapWay } from '../../engine/lens/mapWords.js'
import { writeMap } from '../../engine/lens/writeMap.js'
import type { Outcome } from '../outcome.js'
import { counted } from '../table.js'

/** Writes the plate's lens as pictures of a map. */
export async function lensMap(path: string, { out, way }: { out: string; way: MapWay }): Promise<Outcome> {
  const files = await writeMap(path, out, way)
  return { text: `${out}: ${way}, ${counted(files.length, 'file')}`, json: { shot: path, way, files } }
}
