/** Whole renders against the codecs around them, and against the nearest equal job of the codec library's own filters. */
import { rm } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { loadShot } from '../../src/engine/document.js'
import { renderShot } from '../../src/engine/index.js'
import { renderFloor } from './codecs/floor.js'
import { renderGraph } from './codecs/graph.js'
import type { Scene } from './scene.js'
import { compared, type Row, turns } from './timing.js'

/** ms a frame of our render, of the codec floor and of the filter graph, in turn; ratios say how many times longer ours takes. */
export async function renderRows(
  name: string,
  scene: Scene,
  workers: number,
  rounds: number,
): Promise<Row[]> {
  const { shot } = await loadShot(scene.shot)
  const { plate, element, part } = scene
  const out = (file: string) => join(scene.folder, file)
  const options = { out: out('ours.mov'), format: 'prores-422-hq' } as const
  const [ours = [], floor = [], graph = []] = await turns(
    [
      () => renderShot(shot, dirname(scene.shot), options, { workers }),
      () => renderFloor(plate, element, out('floor.mov')),
      () => renderGraph(plate, element, part, out('graph.mov')),
    ],
    rounds,
    () => Promise.all(['ours.mov', 'floor.mov', 'graph.mov'].map((file) => rm(out(file)))),
  )
  const longer = (mine: number, its: number) => mine / its
  return [
    { name, size: scene.size, ...compared(ours, 'codec-floor', floor, longer, scene.frames) },
    { name, size: scene.size, ...compared(ours, 'ffmpeg-graph', graph, longer, scene.frames) },
  ]
}
