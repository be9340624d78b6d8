/** The page in a real browser, which a development package brings (Linux on x64 alone), on a server of its own. */
import { join } from 'node:path'
import chromium from '@sparticuz/chromium'
import { type Browser, type Page, chromium as playwright } from 'playwright-core'
import { expect } from 'vitest'
import { type Serving, serving } from '../server/serving.js'

/** Why there is no browser here; undefined where there is one. */
export const noBrowser =
  process.platform === 'linux' && process.arch === 'x64'
    ? undefined
    : `the package brings a browser for Linux on x64, and this is ${process.platform} on ${process.arch}`

export interface Opened {
  readonly page: Page
  readonly server: Serving
  close(): Promise<void>
}

/** Opens the page at 1440 × 900 on what lies in `folder`. */
export async function opened(folder: string): Promise<Opened> {
  const server = await serving(folder)
  const browser = await launched()
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 } })
  const page = await context.newPage()
  const wrong: string[] = []
  page.on('pageerror', (e) => wrong.push(e.message))
  await page.goto(server.url.replace(/token=.*/, '')).catch(() => {})
  await context.addCookies([cookieOf(server)])
  await page.goto(`http://127.0.0.1:${server.port}/`)
  return {
    page,
    server,
    async close() {
      await browser.close()
      await server.end()
      expect(wrong, 'errors in the page').toEqual([])
    },
  }
}

export function cookieOf({ cookie, port }: Serving) {
  const [name = '', value = ''] = cookie.split('=')
  return { name, value, url: `http://127.0.0.1:${port}` }
}

/** Drops files on the page as a hand would: all of one drop come at once. */
export async function drop(page: Page, files: readonly string[], onto = 'body'): Promise<void> {
  await page.evaluate(() => {
    const input = document.createElement('input')
    input.type = 'file'
    input.multiple = true
    input.id = 'files-to-drop'
    document.body.append(input)
  })
  await page.locator('#files-to-drop').setInputFiles([...files])
  await page.evaluate((target) => {
    const input = document.querySelector<HTMLInputElement>('#files-to-drop')
    const data = new DataTransfer()
    for (const file of input?.files ?? []) data.items.add(file)
    input?.remove()
    const dropped = { dataTransfer: data, bubbles: true, cancelable: true }
    document.querySelector(target)?.dispatchEvent(new DragEvent('drop', dropped))
  }, onto)
}

/** Waits until the picture that is asked for is the one that is shown. */
export async function pictured(page: Page): Promise<void> {
  await page.locator('canvas.layer[data-ready=true]').first().waitFor({ timeout: 30_000 })
}

/** Colour of a place of the shown picture, 0 to 255; x and y are shares of its size. */
export function colourAt(page: Page, x: number, y: number): Promise<number[]> {
  return page
    .locator('canvas.layer')
    .first()
    .evaluate(
      (element, [sx, sy]) => {
        const canvas = element as HTMLCanvasElement
        const at = canvas.getContext('2d')
        return [...(at?.getImageData(sx * canvas.width, sy * canvas.height, 1, 1).data ?? [])].slice(0, 3)
      },
      [x, y] as const,
    )
}

/** A shot of the small files' plate with these elements, opened and fitted. */
export async function fittedShot({ page, server }: Opened, elements: readonly string[]): Promise<void> {
  await server.ask('POST', '/api/shot', { plate: 'plate/plate.####.png', elements })
  await page.reload()
  await pictured(page)
  await page.getByText('Fitted').waitFor({ timeout: 60_000 })
}

export function step(page: Page, name: string) {
  return page.getByRole('navigation', { name: 'Steps' }).getByRole('button', { name, exact: true })
}

export const shotFile = (folder: string, name = 'plate') => join(folder, `${name}.shot.json`)

/** Two test files may unpack the browser at the same moment. */
async function launched(tries = 5): Promise<Browser> {
  try {
    const executablePath = await chromium.executablePath()
    return await playwright.launch({ executablePath, args: chromium.args, headless: true })
  } catch (e) {
    if (tries === 1) throw e
    await new Promise((done) => setTimeout(done, 1500))
    return launched(tries - 1)
  }
}
