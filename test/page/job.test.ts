/**
 * The whole job from two dropped files to a rendered movie and its report, with pointer and keyboard alone; on real footage
 * where it stands beside the checkout (PLATEFIT_FOOTAGE), else on small made files.
 */
import { existsSync } from 'node:fs'
import { mkdtemp, readdir, readFile, rm, stat } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { smallFiles } from '../small.js'
import { drop, noBrowser, type Opened, opened, pictured, step } from './opened.js'

const footage = process.env.PLATEFIT_FOOTAGE ?? resolve(import.meta.dirname, '../../../shared/footage')

/** ms; a busy machine fits a frame of 1080p for a minute. */
const PATIENCE = 150_000

describe.skipIf(noBrowser !== undefined)(
  `the whole job on the page${noBrowser ? ` (${noBrowser})` : ''}`,
  () => {
    let folder: string
    let elsewhere: string
    let o: Opened

    beforeAll(async () => {
      folder = await mkdtemp(join(tmpdir(), 'platefit-page-'))
      elsewhere = await mkdtemp(join(tmpdir(), 'platefit-files-'))
      o = await opened(folder)
    })
    afterAll(async () => {
      await o.close()
      for (const f of [folder, elsewhere]) await rm(f, { recursive: true, force: true })
    })

    it(
      'goes from a drop to a report',
      async () => {
        const { page } = o
        const files = existsSync(footage) ? await realFiles() : await madeFiles(elsewhere)
        await page.getByRole('heading', { name: 'The plate' }).waitFor()
        await drop(page, files.plate)
        await page.getByText(files.plateName).first().waitFor()
        await drop(page, files.element)

        await pictured(page)
        await page.getByText('Fitted').waitFor({ timeout: PATIENCE })
        // What the files are is said unasked.
        await page
          .getByText(/frames at/)
          .first()
          .waitFor()

        // The element in hand: dragged, then nudged by keys.
        const outline = page.locator('.outline polygon').first()
        const box = (await outline.boundingBox()) as { x: number; y: number; width: number; height: number }
        const middle = [box.x + box.width / 2, box.y + box.height / 2] as const
        await page.mouse.move(...middle)
        await page.mouse.down()
        await page.mouse.move(middle[0] - 40, middle[1] - 20, { steps: 4 })
        await page.mouse.up()
        await page.keyboard.press('ArrowRight')
        await expect.poll(async () => JSON.parse(await document()).elements[0].position.x).not.toBe(undefined)

        // The place it is compared with, drawn.
        await page.getByRole('button', { name: 'light', exact: true }).click()
        await page.getByRole('button', { name: 'Draw the place to compare with' }).click()
        const frame = (await page.locator('.frame').boundingBox()) as typeof box
        await page.mouse.move(frame.x + frame.width * 0.2, frame.y + frame.height * 0.52)
        await page.mouse.down()
        await page.mouse.move(frame.x + frame.width * 0.35, frame.y + frame.height * 0.65, { steps: 4 })
        await page.mouse.up()
        await page.getByLabel('Distance').fill('900')
        await page.keyboard.press('Enter')
        await expect.poll(async () => JSON.parse(await document()).elements[0].distanceM).toBe(900)

        await step(page, 'Fit').click()
        await page.getByText('Fitting').waitFor()
        await page.getByText('Fitted').waitFor({ timeout: PATIENCE })
        await step(page, 'Render').focus()
        await page.keyboard.press('Enter')
        await page.getByText(/^Rendered: .*\.mov$/).waitFor({ timeout: PATIENCE })
        await step(page, 'Check').click()
        // Exactly: rows of the ledger that are "not checked" stand there before.
        await page.getByText('Checked', { exact: true }).waitFor({ timeout: PATIENCE })
        await page.getByText('fits', { exact: true }).first().waitFor()
        const tells = page.getByRole('region', { name: 'Tells' })
        expect(await tells.textContent()).toMatch(/\d could not be judged/)
        await step(page, 'Report').click()
        await page.getByText(/^Report written/).waitFor({ timeout: PATIENCE })
        await page.getByRole('link', { name: 'Read the report' }).waitFor()

        const made = await readdir(folder)
        const movie = made.find((f) => f.endsWith('-v001.mov')) as string
        // 'icpf' opens every ProRes frame: SMPTE RDD 36.
        expect((await readFile(join(folder, movie))).includes('icpf')).toBe(true)
        expect((await stat(join(folder, movie.replace('.mov', '.html')))).size).toBeGreaterThan(10_000)
      },
      6 * PATIENCE,
    )

    async function document(): Promise<string> {
      const name = (await readdir(folder)).find((f) => f.endsWith('.shot.json')) as string
      return readFile(join(folder, name), 'utf8')
    }
  },
)

async function realFiles() {
  const soot = join(footage, 'elements/soot')
  return {
    plate: [join(footage, 'plates/rooftop-pq.mp4')],
    plateName: 'rooftop-pq.mp4',
    element: (await readdir(soot)).filter((f) => f.endsWith('.png')).map((f) => join(soot, f)),
  }
}

async function madeFiles(at: string) {
  await smallFiles(at, 6)
  const all = async (name: string) => (await readdir(join(at, name))).map((f) => join(at, name, f))
  return { plate: await all('plate'), plateName: /plate\.####\.png/, element: await all('fire') }
}
