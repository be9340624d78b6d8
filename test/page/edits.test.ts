/** No edit of a hand is lost, and none is made that nobody meant. */
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { smallFiles } from '../small.js'
import { fittedShot, noBrowser, type Opened, opened, pictured, shotFile } from './opened.js'

describe.skipIf(noBrowser !== undefined)(`edits on the page${noBrowser ? ` (${noBrowser})` : ''}`, () => {
  let folder: string
  let o: Opened
  let page: Page

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'platefit-page-'))
    await smallFiles(folder, 4)
    o = await opened(folder)
    page = o.page
    await fittedShot(o, ['fire/fire.####.png', 'fire/fire.####.png'])
  })
  afterAll(async () => {
    await o.close()
    await rm(folder, { recursive: true, force: true })
  })

  const text = () => readFile(shotFile(folder), 'utf8')
  const elements = async () => JSON.parse(await text()).elements
  const edit = (change: object) =>
    o.server.ask('POST', '/api/shot/edit', { path: 'plate.shot.json', edit: change })
  const outline = (n: number) => page.locator('.outline').nth(n)

  it('are kept when the next element is taken in hand at once, and undone one by one', async () => {
    const [a, b] = await elements()
    await outline(0).focus()
    await page.keyboard.press('ArrowRight')
    await outline(1).focus()
    await page.keyboard.press('ArrowDown')
    const positions = async () => (await elements()).map((e: { position: object }) => e.position)
    await expect.poll(positions).toEqual([
      { ...a.position, x: a.position.x + 1 },
      { ...b.position, y: b.position.y + 1 },
    ])
    await page.keyboard.press('ArrowDown')
    // Before the hand rests: what it has just done is what is taken back.
    await page.keyboard.press('Control+z')
    await page.waitForTimeout(700)
    expect(await positions()).toEqual([
      { ...a.position, x: a.position.x + 1 },
      { ...b.position, y: b.position.y + 1 },
    ])
  })

  it('say what a file is taken for, which was assumed, and can be undone', async () => {
    await page
      .getByText(/Assumed: .*frames\/s 24/)
      .first()
      .waitFor()
    await page.getByRole('button', { name: 'What plate is taken for' }).click()
    await page.getByRole('button', { name: /Frames\/s/ }).click()
    await page.getByRole('option', { name: '25', exact: true }).click()
    const rate = async () => JSON.parse(await text()).plate.rate
    await expect.poll(rate).toBe('25')
    await page.getByText(/4 frames at 25/).waitFor()
    await page.getByRole('button', { name: 'Undo', exact: true }).first().click()
    await expect.poll(rate).toBeUndefined()
  })

  it('are kept when the page goes before the hand rests', async () => {
    const [a] = await elements()
    await outline(0).focus()
    await page.keyboard.press('Shift+ArrowDown')
    await page.reload()
    await expect.poll(async () => (await elements())[0].position.y).toBe(a.position.y + 10)
    await pictured(page)
  })

  it('are none where a field is only passed through', async () => {
    await edit({ kind: 'camera', field: 'sensorWidthMm', value: 24.8888 })
    await edit({ kind: 'camera', field: 'focalLengthMm', value: 35 })
    const [a] = await elements()
    await edit({ kind: 'place', element: a.id, distanceM: 123.4567, scale: 0.123456 })
    await page.getByRole('button', { name: 'place', exact: true }).click()
    const scale = page.getByRole('textbox', { name: 'Scale' })
    await expect.poll(() => scale.inputValue()).toBe('12.35')
    const before = await text()
    for (const field of await page.locator('.ledger .number input:enabled').all()) {
      await field.focus()
      await page.keyboard.press('Tab')
    }
    await page.waitForTimeout(300)
    expect(await text()).toBe(before)
    await scale.fill('12.5')
    await scale.press('Enter')
    await expect.poll(async () => (await elements())[0].scale).toBe(0.125)
  })

  it('do not come from a click where a place is drawn', async () => {
    await page.getByRole('button', { name: 'light', exact: true }).click()
    await page.getByRole('button', { name: 'Draw the place to compare with' }).click()
    const region = page.locator('.drawn .region')
    const box = await region.boundingBox()
    const frame = (await page.locator('.frame').boundingBox()) as { x: number; y: number }
    await page.mouse.click(frame.x + 30, frame.y + 30)
    expect(await region.boundingBox()).toEqual(box)
    await page.mouse.down()
    await page.mouse.move(frame.x + 33, frame.y + 90)
    await page.mouse.up()
    expect(await region.boundingBox()).toEqual(box)
    expect((await elements())[0].compareWith).toBe(undefined)
    // By keys it begins in the middle of the plate, 160 × 96.
    await page.keyboard.press('Enter')
    await expect
      .poll(async () => (await elements())[0].compareWith)
      .toEqual({ x: 70, y: 42, width: 20, height: 12, frame: 0 })
  })
})
