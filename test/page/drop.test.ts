/** What is dropped on the first screen and on a shot: wrong files are told, whatever comes after them, and right ones find their part. */
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page, Route } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { smallFiles } from '../small.js'
import { drop, noBrowser, type Opened, opened, pictured, shotFile } from './opened.js'

describe.skipIf(noBrowser !== undefined)(`dropped files${noBrowser ? ` (${noBrowser})` : ''}`, () => {
  let files: string
  let plate: string[]
  let fire: string[]
  let notes: string
  let broken: string
  let folder: string
  let o: Opened
  let page: Page

  beforeAll(async () => {
    files = await mkdtemp(join(tmpdir(), 'platefit-files-'))
    const at = await smallFiles(files, 3)
    const all = async (of: string) => (await readdir(of)).map((f) => join(of, f))
    plate = await all(at.plate)
    fire = await all(at.fire)
    notes = join(files, 'notes.txt')
    broken = join(files, 'broken.mov')
    for (const f of [notes, broken]) await writeFile(f, 'no movie')
  })
  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'platefit-page-'))
    o = await opened(folder)
    page = o.page
    await page.getByRole('heading', { name: 'The plate' }).waitFor()
  })
  afterEach(async () => {
    await o.close()
    await rm(folder, { recursive: true, force: true })
  })
  afterAll(() => rm(files, { recursive: true, force: true }))

  const notice = () => page.getByRole('alert')
  const taken = (part: string) => page.getByRole('region', { name: part }).getByRole('paragraph')
  const shot = async () => {
    const { plate, elements } = JSON.parse(await readFile(shotFile(folder), 'utf8'))
    return [plate.file, ...elements.map((e: { file: string }) => e.file)]
  }

  it('that are wrong are told and take no place; good ones of the same drop are taken', async () => {
    await drop(page, [notes])
    await notice().filter({ hasText: 'notes.txt' }).waitFor()
    expect(await readdir(folder)).toEqual([])

    await drop(page, [broken, ...plate])
    await notice().filter({ hasText: 'broken.mov' }).waitFor()
    await taken('The plate').filter({ hasText: 'plate/plate.####.png' }).waitFor()
    expect(await notice().textContent()).not.toContain('notes.txt')

    await drop(page, [notes, broken, ...fire])
    await pictured(page)
    await expect.poll(() => notice().textContent()).toMatch(/notes\.txt.*broken\.mov/)
    expect(await shot()).toEqual(['plate/plate.####.png', 'fire/fire.####.png'])

    await drop(page, [broken, ...fire])
    await page.getByText('fire-2', { exact: true }).first().waitFor()
    expect(await notice().textContent()).toContain('broken.mov')
  })

  it('are what they were when they were dropped, whichever arrives first', async () => {
    let arrive: () => void = () => {}
    const held = new Promise<void>((done) => {
      arrive = done
    })
    const hold = async (route: Route) => {
      await held
      await route.continue()
    }
    await page.route('**/api/files', hold, { times: 1 })
    await drop(page, plate)
    await drop(page, fire)
    await taken('An element').filter({ hasText: 'fire/fire.####.png' }).waitFor()
    arrive()
    await pictured(page)
    expect(await shot()).toEqual(['plate/plate.####.png', 'fire/fire.####.png'])
  })

  it('of one drop are told apart; a single one is given to the other part by hand', async () => {
    await drop(page, fire)
    await taken('The plate').filter({ hasText: 'fire/fire.####.png' }).waitFor()
    await page.getByRole('button', { name: 'Swap plate and element' }).click()
    await taken('An element').filter({ hasText: 'fire/fire.####.png' }).waitFor()
    await page.reload()

    await page.getByRole('heading', { name: 'The plate' }).waitFor()
    await drop(page, [...fire, ...plate])
    await pictured(page)
    expect(await shot()).toEqual(['plate/plate.####.png', 'fire/fire.####.png'])
  })
})
