/** Two windows on one shot, each of its own size. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { platefit } from '../platefit.js'
import { pictures, smallFiles } from '../small.js'
import { colourAt, noBrowser, type Opened, opened, pictured } from './opened.js'

describe.skipIf(noBrowser !== undefined)(`two windows${noBrowser ? ` (${noBrowser})` : ''}`, () => {
  let folder: string
  let o: Opened
  let second: Page

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'platefit-windows-'))
    await smallFiles(folder)
    // Wider than either window shows it.
    await pictures(join(folder, 'wide', 'wide.####.png'), 1440, 810, 3, (x) => [x / 3000, 0.2, 0.3])
    const files = ['--plate', 'wide/wide.####.png', '--element', 'fire/fire.####.png']
    expect((await platefit(folder, ['new', ...files, '--out', 'wide.shot.json'])).code).toBe(0)
    o = await opened(folder)
    second = await o.page.context().newPage()
    await second.setViewportSize({ width: 1000, height: 700 })
    await second.goto(`http://127.0.0.1:${o.server.port}/`)
  }, 60_000)
  afterAll(async () => {
    await o.close()
    await rm(folder, { recursive: true, force: true })
  })

  const both = () => [o.page, second]
  const width = (page: Page) =>
    page
      .locator('canvas.layer')
      .first()
      .evaluate((c) => (c as HTMLCanvasElement).width)

  it('show every change, each at its size', async () => {
    await Promise.all(both().map(pictured))
    expect(await width(second)).toBeLessThan(await width(o.page))
    for (const x of [300, 400, 500]) {
      const before = await Promise.all(both().map((p) => colourAt(p, x / 1440, 0.5)))
      await o.page.getByLabel('Centre x').fill(String(x))
      await o.page.keyboard.press('Enter')
      for (const [i, p] of both().entries())
        await expect.poll(() => colourAt(p, x / 1440, 0.5), { timeout: 10_000 }).not.toEqual(before[i])
    }
  }, 60_000)

  it('show an element that was made anew when they get the focus', async () => {
    const place = () => Promise.all(both().map((p) => colourAt(p, 500 / 1440, 0.5)))
    const before = await place()
    await pictures(join(folder, 'fire/fire.####.png'), 64, 48, 4, () => [0.1, 0.9, 0.1])
    await second.evaluate(() => window.dispatchEvent(new Event('focus')))
    await expect
      .poll(async () => (await place()).map(([r = 0, g = 0]) => g > r + 50), { timeout: 10_000 })
      .toEqual([true, true])
    expect(await place()).not.toEqual(before)
  }, 30_000)
})
