import { mapFiles } from '../../engine/lens/mapFiles.js'
import type { MapWay } from '../../engine/lens/mapWords.js'
import { writeWhole } from '../../report/whole.js'
import type { Outcome } from '../outcome.js'
import { counted } from '../table.js'

/** Writes the plate's lens as pictures of a map. */
export async function lensMap(path: string, { out, way }: { out: string; way: MapWay }): Promise<Outcome> {
  const { bytes, names } = await mapFiles(path, out, way)
  for (const name of names) await writeWhole(name, bytes, '--out')
  return { text: `${out}: ${way}, ${counted(names.length, 'file')}`, json: { shot: path, way, files: names } }
}
