import { existsSync } from 'node:fs'
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { expect, test } from 'vitest'
import { found, tell } from '../../test/report/findings.js'
import { outside, parseMarkup } from '../../test/report/markup.js'
import { shotSchema } from '../shot/schema.js'
import { writeReport } from './index.js'

const plates = resolve(process.env.PLATEFIT_FOOTAGE ?? '../shared/footage', 'plates')
const plate = 'rooftop-pq.mp4'
const small = 'carpark-lockedoff.mp4'

const darkened = [0, 1].flatMap((b) => [0, 1].flatMap((g) => [0, 1].map((r) => `${r / 2} ${g / 2} ${b / 2}`)))

test.skipIf(!existsSync(join(plates, small)))(
  'a plate through a table of the artist (skipped where the footage is absent): the page says so; no table, no page',
  async () => {
    const folder = await mkdtemp(join(tmpdir(), 'report-view-'))
    try {
      const shot = shotSchema.parse({ platefit: 1, plate: { file: small, frames: { first: 4, count: 2 } } })
      const input = {
        shot,
        folder: plates,
        check: found(0, { framesLookedAt: [0] }),
        rendered: join(plates, small),
      }
      const view = join(folder, 'evening.cube')
      const out = join(folder, 'page.html')
      await writeFile(view, `TITLE "half"\nLUT_3D_SIZE 2\n${darkened.join('\n')}\n`)
      await writeReport({ ...input, out, view }, {})
      const text = await readFile(out, 'utf8')
      expect(text).toContain('Viewing table evening.cube (half)')

      const lost = join(folder, 'lost.html')
      const missing = writeReport({ ...input, out: lost, view: join(folder, 'none.cube') }, {})
      await expect(missing).rejects.toMatchObject({ detail: { code: 'report.view-unreadable' } })
      await writeFile(view, 'LUT_3D_SIZE 2\n0 0\n')
      const broken = writeReport({ ...input, out: lost, view }, {})
      await expect(broken).rejects.toMatchObject({
        detail: { code: 'colour.cube-content', where: 'evening.cube, line 2' },
      })
      expect(existsSync(lost)).toBe(false)
    } finally {
      await rm(folder, { recursive: true, force: true })
    }
  },
)

test.skipIf(!existsSync(join(plates, plate)))(
  'a PQ plate (skipped where the footage is absent): shown through the stated view, without paths of this machine',
  async () => {
    const folder = await mkdtemp(join(tmpdir(), 'report-pq-'))
    try {
      const out = join(folder, 'page.html')
      // The file against itself four frames later: every part of the page has something to show.
      const shot = shotSchema.parse({ platefit: 1, plate: { file: plate, frames: { first: 4, count: 4 } } })
      const check = found(0, { framesLookedAt: [0, 2], tells: [tell(0, { frames: [0, 3] })] })
      const { bytes } = await writeReport(
        { shot, folder: plates, check, rendered: join(plates, plate), out },
        {},
      )
      const text = await readFile(out, 'utf8')
      expect(bytes).toBeLessThan(8_000_000)
      expect(outside(text, parseMarkup(text))).toEqual([])
      expect(text).toContain('bt2020 primaries, pq curve')
      expect(text).toMatch(/every picture is shown \d(\.\d)?\u00a0stops darker/)
      expect(text).toContain('1920 × 1080 pixels')
      expect(text).not.toContain(plates)
    } finally {
      await rm(folder, { recursive: true, force: true })
    }
  },
)
