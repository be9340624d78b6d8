/** NaN and infinity in files, through the built program: replaced, told, and kept from spreading. */
import { existsSync } from 'node:fs'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { NativeFrame, ProblemDetail } from '../src/core/index.js'
import { openSource } from '../src/media/index.js'
import { type Change, changedShot, footage, type Loose } from './faulty.js'
import { exrFile } from './media/exrFile.js'
import { platefit } from './platefit.js'
import { SMALL, smallFiles } from './small.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-finite-'))
  await smallFiles(folder)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

describe('values that are no light', () => {
  const RADIUS = 6
  /** A disc of that radius, a pixel for its soft edge, one for the neighbours that a replaced value comes from. */
  const REACH = RADIUS + 2
  type Bad = readonly (readonly [channel: 'R' | 'G' | 'B' | 'A', x: number, y: number, value: number])[]
  const faults: Bad = [
    ['R', 20, 20, Number.NaN],
    ['G', 21, 20, Number.NaN],
    ['A', 44, 12, Number.NaN],
    ['B', 40, 30, Number.POSITIVE_INFINITY],
    ['R', 8, 38, Number.NEGATIVE_INFINITY],
    ['A', 55, 40, Number.POSITIVE_INFINITY],
  ]

  /** A soft picture, the same with and without its faults. */
  async function exr(name: string, width: number, height: number, bad: Bad): Promise<void> {
    const plane = (level: number) =>
      Float32Array.from(
        { length: width * height },
        (_, i) => level * (0.5 + 0.3 * Math.sin(i / 9) + (i % width) / width),
      )
    const channels = {
      A: new Float32Array(width * height).fill(0.75),
      B: plane(0.1),
      G: plane(0.2),
      R: plane(0.3),
    }
    for (const [c, x, y, value] of bad) channels[c][y * width + x] = value
    const window = [0, 0, width, height] as const
    await writeFile(join(folder, name), exrFile({ channels, data: window, display: window }))
  }

  async function rendered(name: string, change: Change) {
    const shot = await changedShot(folder, name, (plate, element) => {
      plate.frames = { first: 0, count: 1 }
      const blur = { value: [RADIUS], evidence: { kind: 'set' } }
      const treatments = { 'lens.blurRadius': blur }
      Object.assign(element, { alpha: 'premultiplied', nature: 'reflects', treatments })
      change(plate, element)
    })
    const out = `${name}/r.####.exr`
    const said = await platefit(folder, ['render', shot, '--format', 'exr-half', '--out', out, '--json'])
    expect(said, said.out).toMatchObject({ code: 0, err: '' })
    const { findings } = JSON.parse(said.out) as { findings: ProblemDetail[] }
    const source = await openSource(join(folder, out))
    const { value: frame } = await source.frames().next()
    for (const p of frame!.planes) expect(p.data.every((v) => Number.isFinite(v))).toBe(true)
    return { frame: frame!, found: findings.filter((f) => f.code === 'chain.not-finite') }
  }

  /** Samples that differ between the two, and whether each lies within `reach` of a fault that `left`, `top` move. */
  function strayed(a: NativeFrame, b: NativeFrame, bad: Bad, left: number, top: number, reach: number) {
    let [differ, beyond] = [0, 0]
    for (let y = 0; y < a.height; y++) {
      for (let x = 0; x < a.width; x++) {
        const at = y * a.width + x
        if (a.planes.every((p, c) => Object.is(p.data[at], b.planes[c]!.data[at]))) continue
        differ++
        if (!bad.some(([, u, v]) => Math.hypot(x - u - left, y - v - top) <= reach)) beyond++
      }
    }
    return { differ, beyond }
  }

  it('in an element: replaced, told, and no blur spreads them', async () => {
    await exr('bad.exr', 64, 48, faults)
    await exr('good.exr', 64, 48, [])
    const use = (file: string) => (_: Loose, element: Loose) => (element.file = file)
    const bad = await rendered('bad-element', use('bad.exr'))
    const good = await rendered('good-element', use('good.exr'))
    expect(good.found).toEqual([])
    expect(bad.found).toMatchObject([
      {
        where: 'bad.exr',
        received: '3 NaN and 3 infinite values on frames 0',
        what: expect.stringContaining('NaN'),
      },
    ])
    // The element's centre lies on the plate's: its corner stands at 48, 24.
    const { differ, beyond } = strayed(bad.frame, good.frame, faults, 48, 24, REACH)
    expect(differ).toBeGreaterThan(50)
    expect(beyond).toBe(0)
    // A missing value comes from its neighbours, and endless cover is all the cover there is: hardly anything changes.
    for (const at of [44 * SMALL.width + 68, 64 * SMALL.width + 103]) {
      const [is, was] = [bad.frame, good.frame].map((f) => f.planes[0]!.data[at]!)
      expect(Math.abs(is! / was! - 1)).toBeLessThan(0.02)
    }
  })

  it('in a plate: replaced where they are, told, and every other pixel as it was', async () => {
    const inPlate = faults.filter(([c]) => c !== 'A').concat([['R', 70, 50, Number.NaN]])
    await exr('bad-plate.exr', SMALL.width, SMALL.height, inPlate)
    await exr('good-plate.exr', SMALL.width, SMALL.height, [])
    await exr('good.exr', 64, 48, [])
    const use = (file: string) => (plate: Loose, element: Loose) => {
      plate.file = file
      element.file = 'good.exr'
    }
    const bad = await rendered('bad-plate', use('bad-plate.exr'))
    const good = await rendered('good-plate', use('good-plate.exr'))
    expect(good.found).toEqual([])
    expect(bad.found).toMatchObject([
      { where: 'bad-plate.exr', received: '3 NaN and 2 infinite values on frames 0' },
    ])
    expect(strayed(bad.frame, good.frame, inPlate, 0, 0, 0)).toEqual({ differ: 5, beyond: 0 })
  })

  it('a linear plate in a movie is coded with a curve, and that is told', async () => {
    await exr('linear.exr', SMALL.width, SMALL.height, [['G', 70, 50, Number.NaN]])
    const shot = await changedShot(folder, 'linear', (plate) => (plate.file = 'linear.exr'))
    const args = ['--format', 'prores-422-hq', '--out', 'linear.mov', '--variant', 'null', '--json']
    const said = await platefit(folder, ['render', shot, ...args])
    expect(said, said.out).toMatchObject({ code: 0, err: '' })
    const { findings } = JSON.parse(said.out) as { findings: ProblemDetail[] }
    expect(findings.map((f) => f.code).sort()).toEqual(['chain.not-finite', 'media.curve-chosen'])
    const source = await openSource(join(folder, 'linear.mov'))
    expect(source.info.encoding).toMatchObject({ curve: 'bt709', range: 'limited', matrix: 'bt709' })
    const { value: frame } = await source.frames().next()
    // Rec. ITU-R BT.709-6 items 1.2, 3.2 and 4.6: curve, luma, ten-bit levels.
    const curve = (l: number) => (l < 0.018 ? 4.5 * l : 1.099 * l ** 0.45 - 0.099)
    for (const i of [5000, 9000, 12000]) {
      const light = 0.5 + 0.3 * Math.sin(i / 9) + (i % SMALL.width) / SMALL.width
      const luma = 0.2126 * curve(0.3 * light) + 0.7152 * curve(0.2 * light) + 0.0722 * curve(0.1 * light)
      // Three codes: what ProRes 422 HQ leaves on a smooth picture.
      expect(Math.abs(frame!.planes[0]!.data[i]! - (64 + 876 * luma))).toBeLessThan(3)
    }
  })

  const rings = join(footage, 'exr/Test_BrightRingsNanInf.exr')
  it.skipIf(!existsSync(rings))('in a published test picture, as plate and as element', async () => {
    const element = await rendered('rings-element', (_, element) =>
      Object.assign(element, { file: rings, alpha: 'on-black', nature: 'emits', scale: 0.1 }),
    )
    expect(element.found).toMatchObject([
      { where: rings, received: expect.stringMatching(/^[1-9]\d* NaN and [1-9]\d* infinite/) },
    ])
    const plate = await rendered('rings-plate', (plate) => (plate.file = rings))
    expect(plate.found).toMatchObject([
      { where: rings, received: expect.stringMatching(/^[1-9]\d* NaN and [1-9]\d* infinite/) },
    ])
  })
})
