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
}

/** Renders the shot; what the sources held that was strange is listed. */
export async function render(path: string, o: RenderArguments, job: Job): Promise<Outcome> {
  const { shot, folder } = await loadShot(path)
  const { format, variant, frames } = o
  const options = { out: resolve(o.out), format, variant, ...(frames === undefined ? {} : { frames }) }
  const result = await renderShot(shot, folder, options, job)
  const notes = findingsText(result.findings)
  const done = `${o.out}: ${counted(result.frames.length, 'frame')}, ${variant}, ${format}, ${result.seconds.toFixed(1)} s`
  return { text: notes === '' ? done : `${done}\n${notes}`, json: result }
}
