/** Looking, placing and scrubbing on the page, by pointer and by keys. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { smallFiles } from '../small.js'
import { colourAt, noBrowser, type Opened, opened, pictured, shotFile } from './opened.js'

describe.skipIf(noBrowser !== undefined)(`hands on the page${noBrowser ? ` (${noBrowser})` : ''}`, () => {
  let folder: string
  let o: Opened
  let page: Page

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'platefit-page-'))
    await smallFiles(folder, 6)
    await writeFile(join(folder, 'text.mov'), 'no movie')
    o = await opened(folder)
    page = o.page
    await page.getByRole('button', { name: /The plate from the folder/ }).click()
    await page.getByRole('option', { name: 'plate/plate.####.png' }).click()
    await page.getByRole('button', { name: /An element from the folder/ }).click()
    await page.getByRole('option', { name: 'fire/fire.####.png' }).click()
    await pictured(page)
    await page.getByText('Fitted').waitFor({ timeout: 60_000 })
  })
  afterAll(async () => {
    await o.close()
    await rm(folder, { recursive: true, force: true })
  })

  const element = async () => JSON.parse(await readFile(shotFile(folder), 'utf8')).elements[0]
  const choose = (group: string, name: string) =>
    page.getByRole('radiogroup', { name: group }).getByText(name, { exact: true }).click()

  it('shows plate and result, and a wipe between them that keys move', async () => {
    await choose('Show', 'Plate')
    await pictured(page)
    const plate = await colourAt(page, 0.5, 0.5)
    await choose('Show', 'Result')
    await pictured(page)
    expect(await colourAt(page, 0.5, 0.5)).not.toEqual(plate)
    await choose('Wipe to', 'Plate')
    const line = page.getByRole('slider', { name: /^Wipe/ })
    await line.focus()
    await page.keyboard.press('Shift+ArrowRight')
    expect(await line.getAttribute('aria-valuenow')).toBe('60')
    const frame = (await page.locator('.frame').boundingBox()) as { x: number; y: number; width: number }
    const at = (await line.boundingBox()) as { x: number; width: number }
    await page.mouse.move(at.x + at.width / 2, frame.y + 30)
    await page.mouse.down()
    await page.mouse.move(frame.x + frame.width * 0.25, frame.y + 30, { steps: 3 })
    await page.mouse.up()
    expect(await line.getAttribute('aria-valuenow')).toBe('25')
    await choose('Wipe to', 'None')
  })

  it('shows one channel as grey, and more stops as more light', async () => {
    const [r, g, b] = await colourAt(page, 0.1, 0.1)
    await choose('Channel', 'R')
    expect(await colourAt(page, 0.1, 0.1)).toEqual([r, r, r])
    await choose('Channel', 'All')
    expect(await colourAt(page, 0.1, 0.1)).toEqual([r, g, b])
    await page.getByRole('button', { name: /Increase Stops|Increase/ }).click()
    await expect.poll(async () => (await colourAt(page, 0.1, 0.1))[1]).toBeGreaterThan(g as number)
    await page.getByRole('button', { name: /Decrease Stops|Decrease/ }).click()
  })

  it('says the values of the pixel under the pointer, and of one that is typed', async () => {
    const frame = (await page.locator('.frame').boundingBox()) as { x: number; y: number }
    await page.mouse.move(frame.x + 40, frame.y + 40)
    await page.getByTitle('stops from 18 %').waitFor()
    const x = page.locator('.point input').first()
    await x.fill('12')
    await x.press('Enter')
    await page.getByTitle('stops from 18 %').waitFor()
  })

  it('places by keys: a rest makes one edit of them', async () => {
    const before = await element()
    await page.locator('.outline').focus()
    for (const key of ['ArrowRight', 'ArrowRight', 'Shift+ArrowUp', '+']) await page.keyboard.press(key)
    await expect
      .poll(async () => (await element()).position)
      .toEqual({ x: before.position.x + 2, y: before.position.y - 10 })
    expect((await element()).scale).toBeCloseTo(before.scale * 1.01, 3)
    await page.getByRole('button', { name: 'Undo', exact: true }).click()
    await expect.poll(element).toMatchObject({ position: before.position, scale: before.scale })
  })

  it('scrubs the ruler by pointer and keys, and moves an element along it', async () => {
    const ruler = page.getByRole('slider', { name: 'Frame', exact: true })
    const box = (await ruler.boundingBox()) as { x: number; y: number; width: number; height: number }
    // The middle of the fourth of six frames.
    await page.mouse.click(box.x + (box.width * 3.5) / 6, box.y + box.height / 2)
    expect(await ruler.getAttribute('aria-valuenow')).toBe('3')
    await ruler.press('End')
    expect(await ruler.getAttribute('aria-valuenow')).toBe('5')
    await ruler.press('ArrowLeft')
    expect(await ruler.getAttribute('aria-valuenow')).toBe('4')
    await ruler.press('Home')
    await page.getByRole('slider', { name: 'fire: start frame' }).press('ArrowRight')
    await expect.poll(async () => (await element()).startFrame).toBe(1)
  })

  it('plays, and says the true rate beside the wanted one', async () => {
    await page.getByRole('button', { name: 'Play', exact: true }).click()
    await page.getByText(/^[\d.]+ of \d+ frames\/s$/).waitFor()
    await page.getByRole('button', { name: 'Stop', exact: true }).click()
  })

  it('weakens a link, leaves one out, and marks a treatment set by hand', async () => {
    const field = page.getByRole('textbox', { name: 'Strength of light' })
    await field.fill('50')
    await field.press('Enter')
    await expect.poll(async () => (await element()).links?.light?.strength).toBe(0.5)
    await page.getByRole('switch', { name: 'Do the sensor link' }).press('Space')
    await expect.poll(async () => (await element()).links?.sensor?.off).toBe(true)
    await page.getByRole('button', { name: 'light', exact: true }).click()
    const set = page.getByRole('button', { name: /^Set .* by hand$/ }).first()
    const name = await set.getAttribute('aria-label')
    await set.click()
    await page.keyboard.press('Enter')
    await page.getByText('by hand', { exact: true }).first().waitFor()
    expect(name).toBeTruthy()
    await page.getByRole('button', { name: 'Leave it to the fit' }).first().click()
    await page.getByText('by hand', { exact: true }).first().waitFor({ state: 'detached' })
  })

  it('says in sight that a file is no picture, however far the page is scrolled', async () => {
    await page.setViewportSize({ width: 1024, height: 600 })
    await page.getByRole('button', { name: /Add from the folder/ }).click()
    await page.getByRole('option', { name: 'text.mov' }).click()
    const notice = page.getByRole('alert').filter({ hasText: 'text.mov' })
    await notice.waitFor()
    await page.evaluate(() => scrollTo(0, document.body.scrollHeight))
    expect(await page.evaluate(() => scrollY)).toBeGreaterThan(0)
    expect((await notice.boundingBox())?.y).toBeGreaterThanOrEqual(0)
    await notice.getByRole('button', { name: 'Close' }).click()
    await notice.waitFor({ state: 'detached' })
    await page.setViewportSize({ width: 1440, height: 900 })
  })

  it('names everything that takes the keyboard', async () => {
    const nameless = await page.evaluate(() =>
      [...document.querySelectorAll('button, input, a, [tabindex="0"]')]
        .filter((e) => {
          if (getComputedStyle(e).display === 'none') return false
          const labels = e instanceof HTMLInputElement ? [...(e.labels ?? [])].map((l) => l.textContent) : []
          const by = (e.getAttribute('aria-labelledby') ?? '')
            .split(' ')
            .map((id) => document.getElementById(id)?.textContent)
          return ![e.getAttribute('aria-label'), e.textContent, ...labels, ...by].some((t) => t?.trim())
        })
        .map((e) => e.outerHTML.slice(0, 120)),
    )
    expect(nameless).toEqual([])
  })
})
