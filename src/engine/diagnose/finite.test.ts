/** Counts of NaN and infinity: by hand, and against what OpenImageIO 2.4.7 (`oiiotool --stats`) says of test pictures. */
import { access } from 'node:fs/promises'
import { resolve } from 'node:path'
import { describe, expect, it } from 'vitest'
import { allocateFrame, type PixelLayout } from '../../core/index.js'
import { diagnoseFile } from './diagnose.js'
import { FiniteMeter } from './finite.js'

const layout: PixelLayout = { family: 'rgb', bits: 16, float: true, subX: 0, subY: 0, alpha: true }

function frame(...bad: readonly (readonly [plane: number, value: number])[]) {
  const native = allocateFrame(layout, 5, 3)
  bad.forEach(([plane, value], i) => {
    ;(native.planes[plane]?.data as Float32Array)[2 * i] = value
  })
  return native
}

describe('NaN and infinity', () => {
  it('are counted a channel, alpha too, and named by frame', () => {
    const meter = new FiniteMeter()
    meter.add(3, frame([0, Number.NaN], [0, Number.NaN], [3, Number.NaN]))
    meter.add(4, frame([1, 3.4e38], [2, -65504], [2, 2 ** -149]))
    meter.add(5, frame([1, Number.NEGATIVE_INFINITY], [2, Number.POSITIVE_INFINITY]))
    expect(meter.finding([3, 4, 5])).toMatchObject({
      verdict: 'fault',
      frames: [3, 5],
      numbers: { nan: [2, 0, 0, 1], infinite: [0, 1, 1, 0] },
      sentence:
        'Frames 3, 5 hold samples that are no numbers: NaN in R (2), A (1) and infinity in G (1), B (1).',
    })
  })

  it('are no fault where there are none', () => {
    const meter = new FiniteMeter()
    meter.add(0, frame([1, 3.4e38], [2, -65504]))
    expect(meter.finding([0])).toMatchObject({ verdict: 'fine', numbers: { nan: [0, 0, 0, 0] } })
  })
})

const footage = process.env.PLATEFIT_FOOTAGE ?? resolve('../shared/footage')
const there = await access(footage).then(
  () => true,
  () => false,
)

describe.skipIf(!there)('NaN and infinity in OpenEXR files (skipped where the footage is absent)', () => {
  it.each([
    ['exr/Test_BrightRingsNanInf.exr', 2, 4],
    // Every half float once: 2 · (2^10 − 1) that are NaN, and both infinities [ieee754-2019].
    ['exr/Test_AllHalfValues.exr', 2046, 2],
  ])('%s', async (name, nan, infinite) => {
    for (const all of [false, true]) {
      const { findings } = await diagnoseFile(resolve(footage, name), { all })
      expect(findings.find((f) => f.code === 'diagnose.finite')).toMatchObject({
        verdict: 'fault',
        frames: [0],
        numbers: { nan: [nan, nan, nan], infinite: [infinite, infinite, infinite] },
      })
    }
  })

  it('exr/Rec709.exr has none', async () => {
    const { findings } = await diagnoseFile(resolve(footage, 'exr/Rec709.exr'))
    expect(findings.find((f) => f.code === 'diagnose.finite')?.verdict).toBe('fine')
  })
})
