import { resolve } from 'node:path'
import type { KnownFacts, SuitResult, Thumbnail } from '../../engine/suit/types.js'
import type { Job } from '../../engine/types.js'
import { engineVersion } from '../../engine/version.js'
import { encodeStill } from '../../media/index.js'
import type { Encoded } from '../budget.js'
import { shrink } from '../pictures.js'
import { writeWhole } from '../whole.js'
import type { Views } from './item.js'
import { sheetHtml } from './page.js'

/** Width and JPEG quality of the pictures by the number of elements, so that hundreds stay one page that opens. */
function stepFor(count: number): { width: number; quality: number } {
  if (count <= 60) return { width: 320, quality: 86 }
  return count <= 300 ? { width: 240, quality: 78 } : { width: 180, quality: 70 }
}

/**
 * Writes one page with a picture of each element; it needs nothing else and opens from disk.
 *
 * @throws Problem `report.cannot-write`
 */
export async function writeSheet(
  result: SuitResult,
  known: KnownFacts,
  out: string,
  job: Job,
): Promise<void> {
  const step = stepFor(result.elements.length)
  const views: Views[] = []
  for (const e of result.elements) {
    job.signal?.throwIfAborted()
    const laid = e.laid === undefined ? undefined : await encoded(e.laid, step)
    views.push({ own: await encoded(e.thumbnail, step), laid })
  }
  const plate = await encoded(result.plate.thumbnail, { width: result.plate.thumbnail.width, quality: 88 })
  const page = sheetHtml({ result, known, plate, views, frame: result.plate.size, version: engineVersion() })
  await writeWhole(resolve(out), Buffer.from(page, 'utf8'), '--sheet')
}

async function encoded(p: Thumbnail, step: { width: number; quality: number }): Promise<Encoded> {
  const small = shrink(
    p,
    step.width,
    Math.max(1, Math.round((p.height * Math.min(step.width, p.width)) / p.width)),
  )
  const bytes = await encodeStill(small.rgb, small.width, small.height, 'jpeg', step.quality)
  const src = `data:image/jpeg;base64,${Buffer.from(bytes).toString('base64')}`
  return { src, width: small.width, height: small.height }
}
