import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Region } from '../../../src/core/index.js'
import { loadShot } from '../../../src/engine/document.js'
import { renderShot } from '../../../src/engine/index.js'
import { openSource } from '../../../src/media/index.js'
import { makeScene, type Scene } from '../scene.js'
import { renderFloor } from './floor.js'
import { renderGraph } from './graph.js'

// As many frames as the painted ones and some more, so that the clips begin anew.
const FRAMES = 11
let folder: string
let scene: Scene
const out = (name: string) => join(folder, name)

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-bench-'))
  scene = await makeScene(folder, { width: 384, height: 216 }, 0.5, FRAMES)
  const { shot } = await loadShot(scene.shot)
  await renderFloor(scene.plate, scene.element, out('floor.mov'))
  await renderGraph(scene.plate, scene.element, scene.part, out('graph.mov'))
  await renderShot(shot, folder, { out: out('ours.mov'), format: 'prores-422-hq' }, { workers: 1 })
}, 120_000)
afterAll(() => rm(folder, { recursive: true, force: true }))

/** Luma of every frame over a region, as fractions of black to white. */
async function luma(file: string, region: Region): Promise<number[][]> {
  const source = await openSource(file)
  const frames: number[][] = []
  for await (const { planes, width } of source.frames()) {
    const data = planes[0]?.data ?? []
    frames.push(
      Array.from({ length: region.width * region.height }, (_, i) => {
        const at = (region.y + Math.floor(i / region.width)) * width + region.x + (i % region.width)
        return ((data[at] as number) - 64) / 876
      }),
    )
  }
  await source.close()
  return frames
}

function meanDifference(a: readonly number[][], b: readonly number[][]): number {
  const flat = b.flat()
  return a.flat().reduce((sum, v, i) => sum + Math.abs(v - (flat[i] as number)), 0) / flat.length
}

describe('what renders are timed against', () => {
  it('the codec floor writes every frame of the plate', async () => {
    const whole = { x: 0, y: 0, width: 384, height: 216 }
    const [plate, floor] = [await luma(scene.plate, whole), await luma(out('floor.mov'), whole)]
    expect(floor.length).toBe(FRAMES)
    // What is left is the loss of one more encoding: a fraction of the plate's own grain.
    expect(meanDifference(plate, floor)).toBeLessThan(0.005)
  })

  it('the filter graph does about the same to the plate as ours', async () => {
    const { x, y, width, height } = scene.part
    // Off the element's soft borders, where lens and blur differ most.
    const inner = { x: x + 24, y: y + 24, width: width - 48, height: height - 48 }
    const [plate = [], ours = [], graph = []] = await Promise.all(
      [scene.plate, out('ours.mov'), out('graph.mov')].map((file) => luma(file, inner)),
    )
    expect(graph.length).toBe(FRAMES)
    expect(meanDifference(ours, graph)).toBeLessThan(meanDifference(ours, plate) / 2)
  })

  it('the filter graph leaves the plate alone elsewhere', async () => {
    const corner = { x: 0, y: 0, width: scene.part.x, height: scene.part.y }
    expect(
      meanDifference(await luma(scene.plate, corner), await luma(out('graph.mov'), corner)),
    ).toBeLessThan(0.005)
  })
})
