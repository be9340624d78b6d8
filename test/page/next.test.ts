/** The page leads on: it says what is missing where it is missing, what is no longer true, and what comes next. */
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { pictures, smallFiles } from '../small.js'
import { fittedShot, noBrowser, type Opened, opened, shotFile, step } from './opened.js'

describe.skipIf(noBrowser !== undefined)(`what comes next${noBrowser ? ` (${noBrowser})` : ''}`, () => {
  let folder: string
  let o: Opened
  let page: Page

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'platefit-page-'))
    await smallFiles(folder, 4)
    const board = (x: number) => [0.2 + x / 200, 0.2 + x / 200, 0.2 + x / 200] as const
    await pictures(join(folder, 'board/board.####.png'), 100, 60, 4, board)
    o = await opened(folder)
    page = o.page
    await fittedShot(o, ['board/board.####.png'])
  })
  afterAll(async () => {
    await o.close()
    await rm(folder, { recursive: true, force: true })
  })

  const element = async () => JSON.parse(await readFile(shotFile(folder), 'utf8')).elements[0]
  const next = () => page.locator('.act.next').allTextContents()
  const fitAgain = async () => {
    await step(page, 'Fit').click()
    await page.getByText('Fitting').waitFor()
    await page.getByText('Fitted').waitFor({ timeout: 60_000 })
  }

  it('is the place to compare with, then a fit of it, then a render; and a fit after a change', async () => {
    await page.getByText(/^No place of the plate was named to compare with, nor a grey card/).waitFor()
    expect(await next()).toEqual(['Draw the place'])

    await page.getByRole('button', { name: 'Draw the place', exact: true }).click()
    await page.keyboard.press('Enter')
    await page.getByText('Changed since the fit', { exact: true }).waitFor()
    expect(await next()).toEqual(['Fit'])
    await fitAgain()
    expect(await next()).toEqual(['Render'])
    await page.locator('.outline').focus()
    await page.keyboard.press('ArrowRight')
    await page.getByText('Changed since the fit', { exact: true }).waitFor()
    expect(await next()).toEqual(['Fit'])
    await page.keyboard.press('Control+z')
    await page.getByText('Changed since the fit', { exact: true }).waitFor({ state: 'detached' })
    expect(await next()).toEqual(['Render'])
  })

  it('is what a real height needs: it waits for it', async () => {
    await page.getByLabel('Real height').fill('2')
    await page.getByLabel('Real height').press('Enter')
    const lacking = page.getByText('The real height counts once these are known')
    await lacking.filter({ hasText: 'distance, sensor width, focal length' }).waitFor()
    for (const [label, value] of [
      ['Distance', '40'],
      ['Sensor width', '24.9'],
      ['Focal length', '35'],
    ] as const) {
      expect(await page.getByLabel('Real height').inputValue()).toBe('2')
      await page.getByLabel(label).fill(value)
      await page.getByLabel(label).press('Enter')
    }
    await lacking.waitFor({ state: 'detached' })
    await expect.poll(async () => (await element()).heightM).toBe(2)
    expect(await page.getByRole('alert').count()).toBe(0)
  })

  it('stands in sight: a fault of the second file, another element, and the steps', async () => {
    const inSight = async (of: string) => {
      const box = await page.getByRole('button', { name: of, exact: true }).boundingBox()
      return box !== null && box.y >= 0 && box.y + box.height <= 900
    }
    expect(await inSight('Add an element…')).toBe(true)
    await page.mouse.move(300, 700)
    await page.mouse.wheel(0, 2000)
    await page.waitForTimeout(300)
    expect(await inSight('Render')).toBe(true)
  })
})
