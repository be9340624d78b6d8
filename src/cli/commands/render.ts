import { resolve } from 'node:path'
import { loadShot } from '../../engine/document.js'
import { renderShot } from '../../engine/index.js'
import type { Job, Variant } from '../../engine/types.js'
import type { DeliveryFormat } from '../../media/index.js'
import { findingsText, type Outcome } from '../outcome.js'
import { counted } from '../table.js'

export interface RenderArguments {
  readonly out: string
  readonly format: DeliveryFormat
  readonly variant: Variant
  readonly frames?: { readonly first: number; readonly count: number }
  readonly fresh?: boolean
  readonly digests?: boolean
}

/** Renders the shot; what the sources held that was strange is listed. */
export async function render(path: string, o: RenderArguments, job: Job): Promise<Outcome> {
  const { shot, folder } = await loadShot(path)
  const { format, variant, frames, fresh = false, digests = false } = o
  const options = {
    out: resolve(o.out),
    format,
    variant,
    fresh,
    digests,
    ...(frames === undefined ? {} : { frames }),
  }
  const result = await renderShot(shot, folder, options, job)
  const lines = [
    `${o.out}: ${counted(result.frames.length, 'frame')}, ${variant}, ${format}, ${result.seconds.toFixed(1)} s`,
    result.resumed === 0
      ? ''
      : `${counted(result.resumed, 'frame')} of them taken over from a render that was broken off; --fresh starts over`,
    findingsText(result.findings),
  ]
  return { text: lines.filter((line) => line !== '').join('\n'), json: result }
}
