import { resolve } from 'node:path'
import { Problem } from '../../core/index.js'
import { loadShot } from '../../engine/document.js'
import { openPreview } from '../../engine/index.js'
import type { Job } from '../../engine/types.js'
import { encodeStill, refuseReplacing } from '../../media/index.js'
import { writeWhole } from '../../report/whole.js'
import { matteOf } from '../../shot/matte.js'
import { findingsText, type Outcome } from '../outcome.js'

export interface FrameArguments {
  readonly out: string
  readonly frame: number
  readonly width: number
}

/** One frame at a working size, as a PNG. */
export async function frame(path: string, o: FrameArguments, job: Job): Promise<Outcome> {
  if (!/\.png$/i.test(o.out)) {
    throw new Problem({
      code: 'cli.value',
      what: 'The picture is written as PNG',
      where: `--out ${o.out}`,
      expected: 'a name that ends in .png',
    })
  }
  const { shot, folder } = await loadShot(path)
  const out = resolve(o.out)
  const files = [shot.plate, ...shot.elements, ...shot.elements.flatMap((e) => matteOf(e.holdout) ?? [])]
  await refuseReplacing(
    out,
    files.map((f) => resolve(folder, f.file)),
  )
  const start = performance.now()
  const { workers, memoryBytes, signal } = job
  const preview = await openPreview(shot, folder, {
    width: o.width,
    ...(workers === undefined ? {} : { workers }),
    ...(memoryBytes === undefined ? {} : { memoryBytes }),
  })
  try {
    signal?.throwIfAborted()
    const made = await preview.frame(o.frame)
    signal?.throwIfAborted()
    if (made === undefined) throw new Error('nobody asked for another frame, and none came')
    const { rgb, number, width, height, findings } = made
    await writeWhole(out, await encodeStill(rgb, width, height, 'png', 100), '--out')
    const seconds = (performance.now() - start) / 1000
    const line = `${o.out}: frame ${number}, ${width} × ${height}, ${seconds.toFixed(1)} s`
    return {
      text: [line, ...(findings.length === 0 ? [] : [findingsText(findings)])].join('\n'),
      json: { out, frame: number, width, height, seconds, findings },
    }
  } finally {
    await preview.close()
  }
}
