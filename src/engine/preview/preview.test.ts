import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeScene, type Scene } from '../../../test/bench/scene.js'
import { sdr } from '../../../test/encodings.js'
import { viewing } from '../../colour/index.js'
import type { NativeFrame, Rgb } from '../../core/index.js'
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
async function rendered(of = shot): Promise<{ frame: NativeFrame; plate: Parameters<typeof viewing>[0] }> {
  const sources = await openShot(of, folder)
  try {
    const maker = new FrameMaker(makePlan(of, sources, { format: 'exr-half', grain: false }))
    for await (const input of frameInputs(of, sources, [1]))
      return { frame: maker.make(input).frame, plate: sources.plate.info.encoding }
  } finally {
    await closeShot(sources)
  }
  throw new Error('no frame')
}

const distance = (a: Uint8Array, b: ArrayLike<number>) =>
  a.reduce((sum, v, i) => sum + Math.abs(v - (b[i] as number)), 0) / a.length

function halved({ frame, plate }: Awaited<ReturnType<typeof rendered>>): number[] {
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
  return seen
}

/** What the preview makes of the shot at half its size, grain left out. */
const plainly = (of: Shot): Shot => ({ ...of, plate: { ...of.plate, treatments: {} } })

describe('a preview', () => {
  it('shows what the render is at half its size: within two codes on the mean', async () => {
    const seen = halved(await rendered())
    const made = await preview.frame(1, { shot: plainly(shot) })
    expect(made).toMatchObject({ number: 1, width: 160, height: 90 })
    expect(distance(made?.rgb as Uint8Array, seen)).toBeLessThan(2)
  })

  it('hides the same of an element as the render, whatever stands before it', async () => {
    const open = halved(await rendered())
    const post: [number, number][] = [
      [120, -9],
      [190, 20],
      [200, 190],
      [110, 190],
    ]
    const shapes: Shot['shapes'] = [
      { id: 'post', kind: 'polygon', featherPx: 6, keys: [{ frame: 0, points: post }] },
    ]
    // The plate's own codes stand for a map of distances: bright is far.
    const site = { ...shot.site, depth: { file: shot.plate.file, unit: 'metres' as const, a: 12, b: 0 } }
    for (const holdout of [
      { shapes: ['post'] },
      { luminance: { none: 0, full: 0.5 } },
      { depth: true as const },
    ]) {
      const held = { ...withElement({ holdout, distanceM: 9 }), shapes, site }
      const want = halved(await rendered(held))
      const made = await preview.frame(1, { shot: plainly(held) })
      expect([holdout, distance(made?.rgb as Uint8Array, want) < 0.5]).toEqual([holdout, true])
      expect([holdout, distance(Uint8Array.from(want), open) > 1]).toEqual([holdout, true])
    }
  })

  it('follows the document, and comes back to the same bytes', async () => {
    const before = await preview.frame(0, { shot: shot })
    const after = await preview.frame(0, { shot: withElement({ position: { x: 60, y: 50 } }) })
    const again = await preview.frame(0, { shot: shot })
    expect(distance(after?.rgb as Uint8Array, before?.rgb as Uint8Array)).toBeGreaterThan(3)
    expect(again?.rgb).toEqual(before?.rgb)
  })

  it('shows a link that is off as if nothing had been found for it, and one in part between', async () => {
    const full = (await preview.frame(1, { shot }))?.rgb as Uint8Array
    const [e] = shot.elements
    const { 'lens.blurRadius': _, ...sharp } = e?.treatments ?? {}
    const { 'lens.distortion': __, 'lens.aberration': ___, ...straight } = shot.plate.treatments
    const none: Shot = {
      ...withElement({ treatments: sharp }),
      plate: { ...shot.plate, treatments: straight },
    }
    const bare = (await preview.frame(1, { shot: none }))?.rgb as Uint8Array
    const lens = async (strength: number) =>
      (await preview.frame(1, { shot: withElement({ links: { lens: { strength } } }) }))?.rgb as Uint8Array
    expect(await lens(0)).toEqual(bare)
    expect(await lens(1)).toEqual(full)
    const half = await lens(0.5)
    expect(distance(half, bare)).toBeLessThan(distance(full, bare))
    expect(distance(half, full)).toBeLessThan(distance(full, bare))
  })

  it("ends where the plate's sensor does, as a movie would, unless the element's sensor link is off", async () => {
    const clip = { value: [0.4, 0.4, 0.4], evidence: { kind: 'set' as const } }
    const bright = withElement({
      treatments: {
        ...shot.elements[0]?.treatments,
        'light.exposure': { value: [6], evidence: { kind: 'set' } },
      },
      nature: 'emits',
    })
    const ending: Shot = {
      ...bright,
      plate: { ...bright.plate, treatments: { ...plainly(bright).plate.treatments, 'sensor.clip': clip } },
    }
    const seen = async (of: Shot) => (await preview.frame(1, { shot: of }))?.rgb as Uint8Array
    const [free, held] = [await seen(plainly(bright)), await seen(ending)]
    const plate = (await preview.frame(1, { shot: ending, variant: 'null' }))?.rgb as Uint8Array
    const end = Math.ceil(255 * Math.max(...viewing((await rendered()).plate)([0.4, 0.4, 0.4])))
    expect(Math.max(...free)).toBe(255)
    held.forEach((v, i) => {
      if (v > Math.max(end, plate[i] as number) + 1) throw new Error(`${v} at ${i}, the end is ${end}`)
    })
    const off = ending.elements.map((e) => ({ ...e, links: { sensor: { off: true as const } } }))
    expect(await seen({ ...ending, elements: off })).toEqual(free)
  })

  it('gives the same bytes with another number of threads, and with a store that keeps nothing', async () => {
    const other = await openPreview(shot, folder, { width: 160, workers: 1, memoryBytes: 1 })
    try {
      expect((await other.frame(2))?.rgb).toEqual((await preview.frame(2, { shot: shot }))?.rgb)
    } finally {
      await other.close()
    }
  })

  it('gives up a frame when another is asked for', async () => {
    const asked = await Promise.all([preview.frame(0), preview.frame(1), preview.frame(2)])
    expect(asked.map((f) => f?.number)).toEqual([undefined, undefined, 2])
  })

  it('reads the files anew where the document says something else of them', async () => {
    const straight = await preview.frame(0, { shot: shot })
    const kept = await preview.frame(0, { shot: withElement({ alpha: 'premultiplied' }) })
    expect(distance(kept?.rgb as Uint8Array, straight?.rgb as Uint8Array)).toBeGreaterThan(0.5)
    expect((await preview.frame(0, { shot: shot }))?.rgb).toEqual(straight?.rgb)
  })

  it('shows the plate alone, and the files laid over it with nothing else done', async () => {
    const plate = await preview.frame(1, { shot, variant: 'null' })
    const plain = await preview.frame(1, { variant: 'plain' })
    const result = await preview.frame(1)
    const other = withElement({ position: { x: 10, y: 10 } })
    expect((await preview.frame(1, { shot: other, variant: 'null' }))?.rgb).toEqual(plate?.rgb)
    expect(distance(plain?.rgb as Uint8Array, plate?.rgb as Uint8Array)).toBeGreaterThan(1)
    expect(distance(result?.rgb as Uint8Array, plain?.rgb as Uint8Array)).toBeGreaterThan(0.5)
  })

  it('pushes by stops as the viewing transform does, everywhere', async () => {
    const at = (f: { rgb: Uint8Array } | undefined, x: number, y: number) =>
      Array.from(f?.rgb.subarray(3 * (y * 160 + x), 3 * (y * 160 + x) + 3) ?? [])
    await preview.frame(1, { shot })
    const pushed = await preview.frame(1, { stops: 1 })
    for (const [x, y] of [
      [3, 3],
      [80, 45],
      [159, 89],
    ] as const) {
      const { result } = await preview.values(1, 2 * x, 2 * y)
      const seen = viewing(sdr)(result.linear.map((v) => 2 * v) as unknown as Rgb)
      at(pushed, x, y).forEach((code, c) => {
        expect(Math.abs(code - 255 * (seen[c] as number))).toBeLessThanOrEqual(1.5)
      })
    }
    expect((await preview.frame(1))?.rgb).not.toEqual(pushed?.rgb)
  })

  it('says what stands at a point: the plate where no element lies, three things where one does', async () => {
    await preview.frame(1, { shot })
    const corner = await preview.values(1, 2, 2)
    expect(corner.result).toEqual(corner.null)
    const middle = await preview.values(1, 160, 90)
    expect(middle.result.linear).not.toEqual(middle.plain.linear)
    expect(middle.plain.linear).not.toEqual(middle.null.linear)
    expect(await preview.values(1, -50, 1e6)).toEqual(await preview.values(1, 0, 179))
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

  it('ends while frames are being made: they are wanted no more', async () => {
    for (const wait of [0, 1, 3, 8]) {
      const other = await openPreview(shot, folder, { width: 160, workers: 2 })
      const asked = [0, 1, 2].map((n) => other.frame(n))
      await new Promise((done) => setTimeout(done, wait))
      await other.close()
      expect(await Promise.all(asked)).toHaveLength(3)
    }
  })
})
