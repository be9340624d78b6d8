import { existsSync } from 'node:fs'
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { expect, test } from 'vitest'
import { found, tell } from '../../test/report/findings.js'
import { outside, parseMarkup } from '../../test/report/markup.js'
import { shotSchema } from '../shot/schema.js'
import { writeReport } from './index.js'

const plates = resolve(process.env.PLATEFIT_FOOTAGE ?? '../shared/footage', 'plates')
const plate = 'rooftop-pq.mp4'

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
