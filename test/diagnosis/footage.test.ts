/**
 * Alpha of real elements (PLATEFIT_FOOTAGE, else beside the checkout; skipped where absent): as they come, and in versions whose
 * multiplication is known.
 */
import { access, mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { diagnoseFile } from '../../src/engine/diagnose/index.js'
import { formats, type KindName, kinds, straightOf, writeVersion } from './versions.js'

const footage = process.env.PLATEFIT_FOOTAGE ?? resolve(import.meta.dirname, '../../../shared/footage')
const there = await access(footage).then(
  () => true,
  () => false,
)
const folder = await mkdtemp(join(tmpdir(), 'platefit-alpha-'))
afterAll(() => rm(folder, { recursive: true, force: true }))

const saidOf = async (path: string, all = false) => {
  const { findings } = await diagnoseFile(path, { all })
  const of = (code: string) => findings.find((f) => f.code === `diagnose.${code}`)
  return { alpha: of('alpha'), glow: of('glow'), border: of('border') }
}

describe.skipIf(!there)('elements of the footage, as they come (skipped where it is absent)', () => {
  it('a candle is premultiplied, and shines where alpha is 0', async () => {
    const { alpha, glow, border } = await saidOf(join(footage, 'exr/CandleGlass.exr'))
    expect(alpha).toMatchObject({ verdict: 'fine', numbers: { kind: 'premultiplied' } })
    // The footage's own notes: 70 % of its pixels have A = 0 and light.
    expect(Number(glow?.numbers.share)).toBeCloseTo(0.7, 1)
    expect(border?.sentence).toContain('bottom')
  })

  it.each(['elements/soot', 'elements/flame', 'elements/flame-small', 'elements/stills/spark_01.png'])(
    '%s is straight',
    async (name) => {
      expect((await saidOf(join(footage, name))).alpha).toMatchObject({
        verdict: 'fine',
        numbers: { kind: 'straight' },
      })
    },
  )

  it.each([
    'exr/StillLife.exr',
    'exr/oiio_grid-overscan.exr',
    'green/pm_lemur.png',
    'green/pm_lemur_trimap.png',
  ])('%s is a whole picture: no fault', async (name) => {
    expect((await saidOf(join(footage, name))).alpha?.verdict).toBe('fine')
  })

  it('Carrots has an alpha of 0 all over: nothing of it would show', async () => {
    const { alpha, glow } = await saidOf(join(footage, 'exr/Carrots.exr'))
    expect(alpha?.verdict).toBe('fault')
    expect(glow).toBeUndefined()
  })
})

describe.skipIf(!there)('versions of them whose alpha is known', () => {
  it('are named, or nothing is told; none wrong', async () => {
    const marks = { right: 0, wrong: 0, 'cannot tell': 0 }
    const wrong: string[] = []
    for (const [file, frame] of [
      ['exr/CandleGlass.exr', 0],
      ['elements/soot', 12],
      ['elements/flame-small', 22],
      ['elements/stills/muzzle_02.png', 0],
      ['elements/stills/spark_01.png', 0],
    ] as const) {
      const straight = await straightOf(join(footage, file), frame)
      for (const kind of Object.keys(kinds) as KindName[]) {
        for (const format of formats) {
          const { alpha } = await saidOf(await writeVersion(folder, straight, kind, format))
          const said = alpha?.numbers.kind
          const mark = said === kind ? 'right' : said === 'unknown' ? 'cannot tell' : 'wrong'
          marks[mark]++
          if (mark === 'wrong') wrong.push(`${file} ${kind} ${format}: ${said} ${alpha?.confidence}`)
        }
      }
    }
    expect(wrong).toEqual([])
    expect(marks.right).toBeGreaterThanOrEqual(0.85 * 80)
  }, 120_000)
})
