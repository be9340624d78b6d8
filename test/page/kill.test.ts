/** The server is killed while a hand holds the element: the page says so, goes on with the next server, and nothing is lost. */
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Serving, serving } from '../server/serving.js'
import { smallFiles } from '../small.js'
import { cookieOf, fittedShot, noBrowser, type Opened, opened, shotFile } from './opened.js'

describe.skipIf(noBrowser !== undefined)(`a killed server${noBrowser ? ` (${noBrowser})` : ''}`, () => {
  let folder: string
  let o: Opened
  let next: Serving | undefined

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'platefit-page-'))
    await smallFiles(folder, 4)
    o = await opened(folder)
    await fittedShot(o, ['fire/fire.####.png'])
  })
  afterAll(async () => {
    await o.close()
    await next?.end()
    await rm(folder, { recursive: true, force: true })
  })

  const position = async () => JSON.parse(await readFile(shotFile(folder), 'utf8')).elements[0].position

  it('in mid-edit loses nothing, and undo works on', async () => {
    const { page, server } = o
    const before = await position()
    const outline = page.locator('.outline')
    await outline.focus()
    await page.keyboard.press('ArrowRight')
    await expect.poll(position).toEqual({ x: before.x + 1, y: before.y })

    await page.keyboard.press('Shift+ArrowDown')
    await server.end('SIGKILL')
    await page.getByText('The server has ended.').waitFor()
    expect(await position()).toEqual({ x: before.x + 1, y: before.y })

    next = await serving(folder, '.', server.port)
    await page.context().addCookies([cookieOf(next)])
    await page.getByText('The server has ended.').waitFor({ state: 'detached' })
    await expect.poll(position).toEqual({ x: before.x + 1, y: before.y + 10 })
    await page.getByRole('button', { name: 'Undo', exact: true }).click()
    await expect.poll(position).toEqual({ x: before.x + 1, y: before.y })
    await page.keyboard.press('Control+z')
    await expect.poll(position).toEqual(before)
    await page.getByRole('button', { name: 'Redo', exact: true }).click()
    await expect.poll(position).toEqual({ x: before.x + 1, y: before.y })
  })
})
