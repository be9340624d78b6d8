/** The plate's lens as pictures of a map (`mapWords.ts`). */
import { basename, dirname, join } from 'node:path'
import { Problem } from '../../core/index.js'
import { mapFile } from '../../media/index.js'
import { loadShot } from '../document.js'
import { pictureOf, shotRange } from '../plan.js'
import { waysOf } from '../plateSettings.js'
import { openPlate } from '../sources.js'
import type { MapWay } from './mapWords.js'

/**
 * One file; of a name with `#` one for each frame of the shot, all alike: the lens stands still.
 *
 * @returns the bytes of each file, and the files' names
 * @throws Problem `lens.map-name`, `lens.nothing-bent`, as `loadShot`
 */
export async function mapFiles(
  path: string,
  out: string,
  way: MapWay,
): Promise<{ readonly bytes: Uint8Array; readonly names: readonly string[] }> {
  if (!out.toLowerCase().endsWith('.exr'))
    throw new Problem({
      code: 'lens.map-name',
      what: 'A map is written as OpenEXR',
      where: '--out',
      expected: 'name.exr, or name.####.exr for a file a frame',
      received: out,
    })
  const { shot, folder } = await loadShot(path)
  const source = await openPlate(shot, folder)
  const plate = pictureOf(source.info)
  const { count } = shotRange(shot, source.info.frameCount)
  await source.close()
  const ways = waysOf(shot, plate)
  if (ways === undefined)
    throw new Problem({
      code: 'lens.nothing-bent',
      what: "The document says nothing of the lens's distortion",
      where: 'plate lens.distortion',
      remedy: 'Find it with `platefit lens`, or set it.',
    })
  const { width, height } = plate
  const [first, second] = [new Float32Array(width * height), new Float32Array(width * height)]
  const at = way === 'to-straight' ? ways.straight : ways.drawn
  for (let y = 0, o = 0; y < height; y++) {
    for (let x = 0; x < width; x++, o++) {
      const [u, v] = at(x + 0.5, y + 0.5)
      first[o] = u / width
      second[o] = v / height
    }
  }
  return { bytes: await mapFile(width, height, first, second), names: namesOf(out, count) }
}

function namesOf(out: string, count: number): string[] {
  const hashes = /#+/.exec(basename(out))?.[0]
  if (hashes === undefined) return [out]
  return Array.from({ length: count }, (_, i) =>
    join(dirname(out), basename(out).replace(hashes, String(i).padStart(hashes.length, '0'))),
  )
}
