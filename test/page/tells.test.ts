/** A file that gives itself away is checked: the page says it, shows the place, and lets the artist mean it so. */
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { pictures, SMALL, smallFiles } from '../small.js'
import { fittedShot, noBrowser, type Opened, opened, shotFile } from './opened.js'

describe.skipIf(noBrowser !== undefined)(`tells on the page${noBrowser ? ` (${noBrowser})` : ''}`, () => {
  let folder: string
  let o: Opened

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'platefit-page-'))
    await smallFiles(folder, 4)
    // Instead of a render: grey all over, so the plate was changed where no treatment reaches.
    const grey = () => [0.5, 0.5, 0.5] as const
    await pictures(join(folder, 'changed/changed.####.png'), SMALL.width, SMALL.height, 4, grey)
    o = await opened(folder)
    const path = 'plate.shot.json'
    await fittedShot(o, ['fire/fire.####.png'])
    await o.server.ask('POST', '/api/job', { path, kind: 'check', rendered: 'changed/changed.####.png' })
    await o.page.getByText('Checked').waitFor({ timeout: 60_000 })
  })
  afterAll(async () => {
    await o.close()
    await rm(folder, { recursive: true, force: true })
  })

  const meant = async () => JSON.parse(await readFile(shotFile(folder), 'utf8')).meant

  it('are sentences with crops and a mark on the ruler; meant ones stay quiet', async () => {
    const tells = o.page.getByRole('region', { name: 'Tells' })
    const first = tells.getByRole('article').first()
    await first.waitFor()
    const crop = first.getByRole('img').first()
    await crop.scrollIntoViewIfNeeded()
    await expect.poll(() => crop.evaluate((i) => (i as HTMLImageElement).naturalWidth)).toBeGreaterThan(0)
    const loud = await tells.getByRole('article').count()

    await o.page
      .getByRole('button', { name: /^Tell on frame/ })
      .first()
      .click()
    await o.page.locator('.marks .told').waitFor()
    await first.getByRole('button', { name: 'It is meant so' }).click()
    await expect.poll(async () => (await meant()).length).toBe(1)
    await tells.getByText('1 meant so').click()
    await tells.getByRole('button', { name: 'It is not meant so' }).click()
    await expect.poll(async () => (await meant()).length).toBe(0)
    await expect.poll(() => tells.getByRole('article').count()).toBe(loud)
  })
})
