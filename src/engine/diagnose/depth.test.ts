/**
 * A picture says the same of its curve in a file of more bits than it has, and under the range that its codes prove: rounding to
 * eight bits is no noise of a camera, whatever holds it.
 */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { makeMovie, makePicture } from '../../../test/media/fixture.js'
import { diagnoseFile } from './diagnose.js'

const [WIDTH, HEIGHT] = [640, 360]
let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-depth-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

/** Codes of 255: eleven even fields from 15 % to 80 %, with so little noise that only rounding shows, less of it in the lights. */
function picture(): Uint8Array {
  const out = new Uint8Array(WIDTH * HEIGHT)
  let state = 1
  // Park and Miller's generator; six uniforms of variance 1/12 each.
  const next = () => {
    state = (state * 48271) % 2147483647
    return state / 2147483647
  }
  const normal = () => (next() + next() + next() + next() + next() + next() - 3) * Math.SQRT2
  for (let i = 0; i < out.length; i++) {
    const y = 0.15 + 0.065 * Math.floor((11 * (i % WIDTH)) / WIDTH)
    out[i] = Math.round(Math.floor(255 * y) + 0.3 + 0.3 * Math.exp(-1.5 * (y - 0.15)) * normal())
  }
  return out
}

async function curveOfDepth(bits: 8 | 16) {
  const path = join(folder, `ramp-${bits}.png`)
  const bytes = Buffer.alloc((WIDTH * HEIGHT * 3 * bits) / 8)
  picture().forEach((code, p) => {
    for (let i = 3 * p; i < 3 * p + 3; i++)
      if (bits === 8) bytes[i] = code
      else bytes.writeUInt16BE(257 * code, 2 * i)
  })
  await makePicture(path, 'png', bits === 8 ? 'rgb24' : 'rgb48be', WIDTH, HEIGHT, bytes)
  const { findings } = await diagnoseFile(path)
  const of = (word: string) => findings.find((f) => f.code === `diagnose.${word}`)
  return { curve: of('curve'), bits: of('bits'), noise: of('noise') }
}

it('eight bits in sixteen: the same verdict, and no camera in its rounding', async () => {
  const [eight, sixteen] = [await curveOfDepth(8), await curveOfDepth(16)]
  expect(sixteen.bits).toMatchObject({ verdict: 'fault', numbers: { bitsUsed: 8 } })
  expect(sixteen.curve?.verdict).toBe(eight.curve?.verdict)
  expect(sixteen.curve?.verdict).not.toBe('fault')
  expect(sixteen.noise?.sentence).toBe(eight.noise?.sentence)
})

it('a wrong range: the curve is judged as under the right one', async () => {
  // Limited codes with walls at black and white, and the range tags of H.273: 1 limited, 2 full.
  const width = 320
  const luma = Uint8Array.from({ length: width * 180 }, (_, i) => {
    const x = i % width
    return x < 20 ? 16 : x >= 300 ? 235 : 16 + Math.round((219 * (x - 20 + (i % 7))) / 300)
  })
  const frames = Array.from({ length: 3 }, () => Buffer.concat([luma, Buffer.alloc(luma.length / 2, 128)]))
  const said = async (range: 1 | 2) => {
    const path = join(folder, `range-${range}.mkv`)
    const tags = [range, 1, 1, 1] as const
    await makeMovie(path, { encoder: 'ffv1', format: 'yuv420p', width, height: 180, frames, tags })
    const { findings } = await diagnoseFile(path)
    const of = (word: string) => findings.find((f) => f.code === `diagnose.${word}`)
    return { range: of('range'), curve: of('curve') }
  }
  const [right, wrong] = [await said(1), await said(2)]
  expect([right.range?.verdict, wrong.range?.verdict]).toEqual(['fine', 'fault'])
  expect(wrong.curve).toEqual(right.curve)
})
