/** A whole render against its codec floor: the same inputs decoded and the output encoded, with no work between. */
import { rm } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { loadShot } from '../../src/engine/document.js'
import { renderShot } from '../../src/engine/index.js'
import { frameInputs } from '../../src/engine/inputs.js'
import { closeShot, openShot } from '../../src/engine/sources.js'
import { createWriter } from '../../src/media/index.js'
import type { Scene } from './scene.js'
import { timed } from './timing.js'

/** Wall and processor time in ms of one render, first frame to finished file. */
export async function timeRender(scene: Scene, workers: number): Promise<Timed> {
  const { shot } = await loadShot(scene.shot)
  const out = join(scene.folder, 'out.mov')
  const time = await timed(async () => {
    await renderShot(shot, dirname(scene.shot), { out, format: 'prores-422-hq' }, { workers })
  })
  await rm(out)
  return time
}

export async function timeFloor(scene: Scene): Promise<Timed> {
  const { shot } = await loadShot(scene.shot)
  const out = join(scene.folder, 'floor.mov')
  const time = await timed(async () => {
    const sources = await openShot(shot, dirname(scene.shot))
    const { info } = sources.plate
    const { width, height, rate, encoding } = info
    const writer = await createWriter(out, { format: 'prores-422-hq', width, height, rate, encoding })
    const numbers = Array.from({ length: scene.frames }, (_, i) => i)
    for await (const input of frameInputs(shot, sources, numbers)) await writer.write(input.plate)
    await writer.finish()
    await closeShot(sources)
  })
  await rm(out)
  return time
}

export interface Timed {
  readonly wall: number
  readonly cpu: number
}
