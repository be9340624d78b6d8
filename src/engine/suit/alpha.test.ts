/**
 * One painted element written as straight PNG [png3 §6.2], and as what is no PNG's meaning by [porter1984]: multiplied by its alpha
 * once, twice, over white. The paint is that of the diagnosis table, which shares no code with the meters.
 */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { coloured, straight } from '../../../test/diagnosis/elements.js'
import { HEIGHT, WIDTH } from '../../../test/diagnosis/paint.js'
import { makePicture } from '../../../test/media/fixture.js'
import { cutOutLine } from './cutout.js'
import { type ElementLook, lookAtElement } from './look.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-alpha-'))
})
afterAll(() => rm(folder, { recursive: true }))

const body = straight({
  seed: 5,
  edge: 14,
  colour: [0.8, 0.62, 0.45],
  core: 0.1,
  time: 0,
  mottle: 0.1,
})

async function looked(name: string, change: (c: number, a: number) => number): Promise<ElementLook> {
  const path = join(folder, `${name}.png`)
  const codes = Buffer.from(Uint8Array.from(coloured(body, change), (v) => Math.round(255 * v)))
  await makePicture(path, 'png', 'rgba', WIDTH, HEIGHT, codes)
  return lookAtElement({ path, single: true, root: folder })
}

const furthest = (a: Float32Array, b: Float32Array) =>
  a.reduce((most, v, i) => Math.max(most, Math.abs(v - (b[i] as number))), 0)

describe('an element in a PNG', () => {
  it('is fine where it is straight, and says that its format means so', async () => {
    const { cut } = await looked('straight', (c) => c)
    expect(cutOutLine(cut)).toMatchObject({ verdict: 'fine', figure: 'straight alpha' })
    expect(cut.why).toContain('PNG holds straight alpha by its standard')
  })

  it('is poor where it was multiplied, and is read and shown as such', async () => {
    const right = await looked('right', (c) => c)
    const { cut, fullest } = await looked('once', (c, a) => c * a)
    expect(cutOutLine(cut)).toMatchObject({ verdict: 'poor', figure: 'premultiplied, not straight' })
    expect(cutOutLine(cut).remedy).toContain('"alpha": "premultiplied"')
    // The same light as of the straight one, but for codes of 8 bits.
    expect(furthest(fullest.data, right.fullest.data)).toBeLessThan(0.01)
  })

  it('is unfit where it was multiplied twice or over white', async () => {
    const twice = await looked('twice', (c, a) => c * a * a)
    expect(cutOutLine(twice.cut)).toMatchObject({ verdict: 'unfit', figure: 'multiplied twice' })
    const white = await looked('white', (c, a) => c * a + 1 - a)
    expect(cutOutLine(white.cut)).toMatchObject({ verdict: 'unfit', figure: 'multiplied over white' })
    // What is empty hides its white.
    expect(Math.max(...white.fullest.data.subarray(0, 4))).toBe(0)
  })

  it('is poor where its alpha says nothing', async () => {
    const path = join(folder, 'empty.png')
    const codes = Buffer.from(Uint8Array.from(body, (v, i) => (i % 4 === 3 ? 0 : Math.round(255 * v))))
    await makePicture(path, 'png', 'rgba', WIDTH, HEIGHT, codes)
    const { cut } = await lookAtElement({ path, single: true, root: folder })
    expect(cut.kind).toBe('on-black')
    expect(cutOutLine(cut)).toMatchObject({ verdict: 'poor', figure: 'empty alpha' })
    expect(cut.why).toContain('its alpha is 0 everywhere')
  })
})
