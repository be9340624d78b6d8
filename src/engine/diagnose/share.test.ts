/** A long clip with a fault where nobody looks: nothing is said surely of the frames between. Made with a lossless encoder. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeMovie } from '../../../test/media/fixture.js'
import { diagnoseFile } from './diagnose.js'
import type { Finding } from './finding.js'
import { carried } from './share.js'

const [WIDTH, HEIGHT, COUNT] = [96, 64, 960]
/** Of the frames, the flash and the repeat; the sample holds the first, middle and last 53. */
const [FLASH, REPEAT] = [330, 700]

let folder = ''
let path = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-share-'))
  path = join(folder, 'long.mkv')
  const frames = Array.from({ length: COUNT }, (_, i) =>
    picture(i === REPEAT ? i - 1 : i, i === FLASH ? 40 : 0),
  )
  await makeMovie(path, { encoder: 'ffv1', format: 'yuv420p', width: WIDTH, height: HEIGHT, frames })
}, 60_000)
afterAll(() => rm(folder, { recursive: true, force: true }))

/** Waves that travel two samples a frame. */
function picture(time: number, lift: number): Buffer {
  const out = Buffer.alloc((WIDTH * HEIGHT * 3) / 2, 128)
  for (let y = 0; y < HEIGHT; y++)
    for (let x = 0; x < WIDTH; x++) {
      const u = x + 2 * time
      out[y * WIDTH + x] = 90 + lift + 30 * Math.sin(u / 5) + 20 * Math.sin(u / 11.3 + y / 7)
    }
  return out
}

const SINGLE = ['frames', 'repeats', 'drops', 'combs', 'blends', 'flash'].map((w) => `diagnose.${w}`)

describe('of a long clip that was looked at in parts', () => {
  it('nothing that one frame can hold is denied surely', async () => {
    const { findings, framesLookedAt } = await diagnoseFile(path)
    expect(framesLookedAt).toBeLessThan(COUNT / 4)
    const denied = findings.filter((f) => SINGLE.includes(f.code) && f.verdict === 'fine')
    expect(denied.map((f) => f.code)).toEqual(expect.arrayContaining(['diagnose.flash', 'diagnose.repeats']))
    for (const f of denied) {
      expect(f.confidence, f.code).toBeLessThan(0.6)
      expect(f.sentence, f.code).toMatch(
        new RegExp(`on the ${framesLookedAt} frames looked at; --all reads every one\\.$`),
      )
    }
  })

  it('reading all of it finds them, and says nothing of a part', async () => {
    const { findings } = await diagnoseFile(path, { all: true })
    const of = (word: string) => findings.find((f) => f.code === `diagnose.${word}`)
    expect(of('flash')).toMatchObject({ frames: [FLASH], confidence: 0.9 })
    expect(of('repeats')).toMatchObject({ verdict: 'fault', frames: [REPEAT] })
    expect(of('frames')).toMatchObject({ sentence: 'Every frame can be read.', confidence: 0.9 })
    expect(findings.map((f) => f.sentence).join()).not.toContain('looked at;')
  }, 60_000)
})

describe('the share that was seen', () => {
  const base = { sentence: 'Nothing flashes.', frames: [], method: '', numbers: {}, confidence: 0.9 }
  const fine: Finding = { ...base, code: 'diagnose.flash', verdict: 'fine' }
  const half = { seen: 48, all: 96, sampled: true }

  it('scales what is denied, by hand: 0.9 · (0.5 + 0.5 · 48/96) = 0.675, down to the next 0.05', () => {
    expect(carried(fine, half).confidence).toBeCloseTo(0.65, 9)
  })

  it('leaves what was found, what all frames share, and whole files', () => {
    const fault: Finding = { ...fine, verdict: 'fault', remedy: 'x' }
    const shared: Finding = { ...fine, code: 'diagnose.range' }
    expect(carried(fault, half)).toBe(fault)
    expect(carried(shared, half)).toBe(shared)
    expect(carried(fine, { ...half, seen: 96 })).toBe(fine)
  })

  it('counts for clipping the few frames that it was measured on, by hand: 0.8 · (0.5 + 0.5 · 3/96) = 0.4125', () => {
    const clipped: Finding = { ...fine, code: 'diagnose.clipped', confidence: 0.8, frames: [1, 2, 3] }
    const said = carried(clipped, { seen: 96, all: 96, sampled: false })
    expect(said.confidence).toBeCloseTo(0.4, 9)
    expect(said.sentence).toContain('on the 3 frames measured for it.')
  })

  it('does not send for frames that were asked for and could not be read', () => {
    expect(carried(fine, { ...half, sampled: false }).sentence).toBe(
      'Nothing flashes on the 48 frames that could be read.',
    )
  })
})
