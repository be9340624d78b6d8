import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { makeScene } from '../../../test/bench/scene.js'
import type { Shot } from '../../shot/schema.js'
import { loadShot } from '../document.js'
import { Studio } from './studio.js'
import type { Task } from './task.js'
import { Viewer } from './viewer.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-viewer-'))
let shot: Shot
let studio: Counting
let viewer: Viewer

/** Counts the plate's frames that were decoded. */
class Counting extends Studio {
  decoded = 0
  override ask(task: Task) {
    if (task.kind === 'plate') this.decoded++
    return super.ask(task)
  }
}

beforeAll(async () => {
  shot = (await loadShot((await makeScene(folder, { width: 320, height: 180 }, 0.5, 6)).shot)).shot
}, 60_000)
afterAll(() => rmSync(folder, { recursive: true, force: true }))
beforeEach(() => {
  studio = new Counting({ workers: 2 })
  viewer = new Viewer(folder, studio)
})
afterEach(async () => {
  await Promise.all([viewer.close(), studio.close()])
})

describe('a viewer', () => {
  it('gives two sizes that are asked at once, each as if it were asked alone', async () => {
    const asks = [160, 120].map((width) => ({ shot, width, asker: String(width) }))
    const alone = []
    for (const ask of asks) alone.push(await viewer.frame(2, ask))
    const other = new Viewer(folder, studio)
    const both = await Promise.all(asks.map((ask) => other.frame(2, ask)))
    await other.close()
    expect(both.map((f) => f?.width)).toEqual([160, 120])
    expect(both).toEqual(alone)
  })

  it('decodes the next frame ahead where frames are asked one after the other, and only there', async () => {
    // Resting takes its turn behind what is decoded ahead.
    const frame = async (number: number) => {
      await viewer.frame(number, { shot, width: 160 })
      await viewer.rest()
      return studio.decoded
    }
    expect(await frame(0)).toBe(1)
    expect(await frame(2)).toBe(2)
    expect(await frame(3)).toBe(4)
    expect(await frame(4)).toBe(5)
    expect(await frame(5)).toBe(5)
  })

  it('opens its files again after a rest, and never after it was closed', async () => {
    const before = await viewer.frame(1, { shot, width: 160 })
    await viewer.rest()
    expect(await viewer.frame(1, { shot, width: 160 })).toEqual(before)
    await viewer.close()
    expect(await viewer.frame(1, { shot, width: 160 })).toBeUndefined()
  })

  it('reads a file anew whose stamp is another one', async () => {
    const look = (stamp: string) =>
      viewer.frame(1, { shot, width: 160, stamps: { [shot.plate.file]: stamp } })
    await look('a')
    await look('a')
    expect(studio.decoded).toBe(1)
    await look('b')
    expect(studio.decoded).toBe(2)
  })
})
