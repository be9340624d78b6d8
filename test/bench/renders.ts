/** A whole render against its codec floor: the same inputs decoded and the output encoded, with no work between. */
import { rm } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { loadShot } from '../../src/engine/document.js'
import { renderShot } from '../../src/engine/index.js'
import { frameInputs } from '../../src/engine/inputs.js'
import { closeShot, openShot } from '../../src/engine/sources.js'
import { createWriter } from '../../src/media/index.js'
import type { Scene } from './scene.js'
import { middleOf, type Row, round, type Timed, timed } from './timing.js'

/** `pairs` turns of render and floor; the first warms up and does not count. */
export async function renderRow(
  name: string,
  scene: Scene,
  workers: number,
  pairs: number,
): Promise<Row & { readonly cpu_ratio: number }> {
  const [ours, floor]: [Timed[], Timed[]] = [[], []]
  for (let i = 0; i <= pairs; i++) {
    const [render, codecs] = [await timeRender(scene, workers), await timeFloor(scene)]
    if (i > 0) ours.push(render)
    if (i > 0) floor.push(codecs)
  }
  const wall = (t: readonly Timed[]) => middleOf(t.map((x) => x.wall / scene.frames))
  const cpu = (t: readonly Timed[]) => middleOf(t.map((x) => x.cpu / scene.frames))
  return {
    name,
    size: scene.size,
    ours_ms: round(wall(ours)),
    other: 'codec-floor',
    other_ms: round(wall(floor)),
    ratio: round(wall(ours) / wall(floor)),
    cpu_ratio: round(cpu(ours) / cpu(floor)),
  }
}

async function timeRender(scene: Scene, workers: number): Promise<Timed> {
  const { shot } = await loadShot(scene.shot)
  const out = join(scene.folder, 'out.mov')
  const time = await timed(async () => {
    await renderShot(shot, dirname(scene.shot), { out, format: 'prores-422-hq' }, { workers })
  })
  await rm(out)
  return time
}

async function timeFloor(scene: Scene): Promise<Timed> {
  const { shot } = await loadShot(scene.shot)
  const out = join(scene.folder, 'floor.mov')
  const time = await timed(async () => {
    const sources = await openShot(shot, dirname(scene.shot))
    const { width, height, rate, encoding } = sources.plate.info
    const writer = await createWriter(out, { format: 'prores-422-hq', width, height, rate, encoding })
    const numbers = Array.from({ length: scene.frames }, (_, i) => i)
    for await (const input of frameInputs(shot, sources, numbers)) await writer.write(input.plate)
    await writer.finish()
    await closeShot(sources)
  })
  await rm(out)
  return time
}
