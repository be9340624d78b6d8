import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeScene, type Scene } from '../../../test/bench/scene.js'
import { viewing } from '../../colour/index.js'
import type { NativeFrame } from '../../core/index.js'
import type { Shot } from '../../shot/schema.js'
import { loadShot } from '../document.js'
import { FrameMaker } from '../frame.js'
import { frameInputs } from '../inputs.js'
import { makePlan } from '../plan.js'
import { closeShot, openShot } from '../sources.js'
import { openPreview, type Preview } from './preview.js'

const SIZE = { width: 320, height: 180 }
const folder = mkdtempSync(join(tmpdir(), 'platefit-preview-'))
let scene: Scene
let shot: Shot
let preview: Preview

beforeAll(async () => {
  scene = await makeScene(folder, SIZE, 0.5, 3)
  shot = (await loadShot(scene.shot)).shot
  preview = await openPreview(shot, folder, { width: 160, workers: 2 })
}, 60_000)
afterAll(async () => {
  await preview.close()
  rmSync(folder, { recursive: true, force: true })
})

function withElement(change: Partial<Shot['elements'][number]>): Shot {
  return { ...shot, elements: shot.elements.map((e) => ({ ...e, ...change })) }
}

/** The shot at its full size in linear light, no grain added. */
async function rendered(): Promise<{ frame: NativeFrame; plate: Parameters<typeof viewing>[0] }> {
  const sources = await openShot(shot, folder)
  try {
    const maker = new FrameMaker(makePlan(shot, sources, { format: 'exr-half', grain: false }))
    for await (const input of frameInputs(shot, sources, [1]))
      return { frame: maker.make(input).frame, plate: sources.plate.info.encoding }
  } finally {
    await closeShot(sources)
  }
  throw new Error('no frame')
}

const distance = (a: Uint8Array, b: ArrayLike<number>) =>
  a.reduce((sum, v, i) => sum + Math.abs(v - (b[i] as number)), 0) / a.length

describe('a preview', () => {
  it('shows what the render is at half its size: within two codes on the mean', async () => {
    const { frame, plate } = await rendered()
    const view = viewing(plate)
    const seen: number[] = []
    for (let y = 0; y < SIZE.height; y += 2) {
      for (let x = 0; x < SIZE.width; x += 2) {
        const i = y * SIZE.width + x
        const mean = [0, 1, 2].map((c) => {
          const d = frame.planes[c]?.data as Float32Array
          return [i, i + 1, i + SIZE.width, i + SIZE.width + 1].reduce((s, k) => s + (d[k] as number), 0) / 4
        })
        for (const code of view(mean as [number, number, number])) seen.push(255 * code)
      }
    }
    const plain: Shot = { ...shot, plate: { ...shot.plate, treatments: {} } }
    const made = await preview.frame(1, plain)
    expect(made).toMatchObject({ number: 1, width: 160, height: 90 })
    expect(distance(made?.rgb as Uint8Array, seen)).toBeLessThan(2)
  })

  it('follows the document, and comes back to the same bytes', async () => {
    const before = await preview.frame(0, shot)
    const after = await preview.frame(0, withElement({ position: { x: 60, y: 50 } }))
    const again = await preview.frame(0, shot)
    expect(distance(after?.rgb as Uint8Array, before?.rgb as Uint8Array)).toBeGreaterThan(3)
    expect(again?.rgb).toEqual(before?.rgb)
  })

  it('gives the same bytes with another number of threads, and with a store that keeps nothing', async () => {
    const other = await openPreview(shot, folder, { width: 160, workers: 1, memoryBytes: 1 })
    try {
      expect((await other.frame(2))?.rgb).toEqual((await preview.frame(2, shot))?.rgb)
    } finally {
      await other.close()
    }
  })

  it('gives up a frame when another is asked for', async () => {
    const asked = await Promise.all([preview.frame(0), preview.frame(1), preview.frame(2)])
    expect(asked.map((f) => f?.number)).toEqual([undefined, undefined, 2])
  })

  it('reads the files anew where the document says something else of them', async () => {
    const straight = await preview.frame(0, shot)
    const kept = await preview.frame(0, withElement({ alpha: 'premultiplied' }))
    expect(distance(kept?.rgb as Uint8Array, straight?.rgb as Uint8Array)).toBeGreaterThan(0.5)
    expect((await preview.frame(0, shot))?.rgb).toEqual(straight?.rgb)
  })

  it('never enlarges', async () => {
    const wide = await openPreview(shot, folder, { width: 4000, workers: 1 })
    try {
      expect(await wide.frame(0)).toMatchObject(SIZE)
    } finally {
      await wide.close()
    }
  })

  it('refuses a frame that the shot does not have, and a width that is none', async () => {
    await expect(preview.frame(3)).rejects.toMatchObject({ detail: { code: 'engine.no-such-frame' } })
    await expect(openPreview(shot, folder, { width: 0 })).rejects.toMatchObject({
      detail: { code: 'engine.no-width' },
    })
  })
})
