/** An element that goes with a track on the page: drawn where it lies on each frame, and held there by a hand. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { trackShot } from '../../src/engine/track/track.js'
import { pictures, SMALL } from '../small.js'
import { noBrowser, type Opened, opened, pictured, shotFile } from './opened.js'

const FRAMES = 8
/** From here on nothing is to be seen. */
const DARK = 7
const { width, height } = SMALL
/** Grows by a tenth and moves by (3, −2) px a frame about its corner: x′ = (1 + n/10)·x + 3n. */
const grown = (n: number) => 1 + n / 10
const surface = (x: number, y: number) =>
  0.4 +
  0.13 * Math.sin(0.51 * x + 0.2 * y) +
  0.12 * Math.sin(0.43 * y - 0.17 * x + 1) +
  0.1 * Math.sin(0.25 * x + 0.33 * y + 2)

describe.skipIf(noBrowser !== undefined)(`what follows a track${noBrowser ? ` (${noBrowser})` : ''}`, () => {
  let folder: string
  let o: Opened
  let page: Page

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'platefit-page-'))
    await pictures(join(folder, 'plate', 'plate.####.png'), width, height, FRAMES, (x, y, n) => {
      const v = n >= DARK ? 0.02 : surface((x - 3 * n) / grown(n), (y + 2 * n) / grown(n))
      return [v, v, v]
    })
    await pictures(join(folder, 'fire', 'fire.####.png'), 32, 24, FRAMES, () => [0.9, 0.5, 0.2])
    const region = [
      [10, 12],
      [80, 12],
      [80, 60],
      [10, 60],
    ]
    const points = [
      [20, 20],
      [44, 30],
      [30, 40],
      [45, 22],
    ]
    const fire = { id: 'fire', file: 'fire/fire.####.png', rate: '24', nature: 'emits', alpha: 'none' }
    const keys = [{ frame: 0, points }]
    await writeFile(
      shotFile(folder),
      JSON.stringify({
        ...{ platefit: 1, plate: { file: 'plate/plate.####.png', rate: '24' } },
        tracks: [{ id: 'wall', region, motion: 'similarity' }],
        shapes: [{ id: 'post', kind: 'spline', keys, follow: { track: 'wall' } }],
        elements: [{ ...fire, position: { x: 40, y: 36 }, scale: 0.5, follow: { track: 'wall' } }],
      }),
    )
    await trackShot(shotFile(folder))
    o = await opened(folder)
    page = o.page
    await pictured(page)
  }, 60_000)
  afterAll(async () => {
    await o.close()
    await rm(folder, { recursive: true, force: true })
  })

  const element = async () => JSON.parse(await readFile(shotFile(folder), 'utf8')).elements[0]
  const goTo = async (frame: number) => {
    const ruler = page.getByRole('slider', { name: 'Frame', exact: true })
    await ruler.press('Home')
    for (let n = 0; n < frame; n++) await ruler.press('ArrowRight')
    await pictured(page)
  }
  /** Corners of what is drawn, plate pixels. */
  const corners = async (of: string) => {
    const text = (await page.locator(of).first().getAttribute('points')) ?? ''
    return text.split(' ').map((p) => p.split(',').map(Number))
  }
  const middle = async () => {
    const all = await corners('.outline polygon')
    return [0, 1].map((c) => all.reduce((sum, p) => sum + (p[c] as number), 0) / all.length)
  }
  const near = (v: readonly number[]) => v.map((x) => expect.closeTo(x, 0))
  /** Centre of the outline on the screen, and screen pixels to the plate's. */
  const onScreen = async () => {
    const frame = (await page.locator('.frame').boundingBox()) as { x: number; y: number; width: number }
    const toScreen = frame.width / width
    const at = ([x = 0, y = 0]: readonly number[]) =>
      [frame.x + x * toScreen, frame.y + y * toScreen] as const
    return { toScreen, at }
  }
  const drag = async (from: readonly [number, number], dx: number, dy: number) => {
    await page.mouse.move(...from)
    await page.mouse.down()
    await page.mouse.move(from[0] + dx, from[1] + dy, { steps: 5 })
    await page.mouse.up()
  }

  it('lies on each frame where the track carries it, with shape and region', async () => {
    await goTo(4)
    await expect.poll(middle).toEqual(near([40 * 1.4 + 12, 36 * 1.4 - 8]))
    const [[left, top] = [], , [right, bottom] = []] = await corners('.outline polygon')
    expect((right as number) - (left as number)).toBeCloseTo(16 * 1.4, 0)
    expect((bottom as number) - (top as number)).toBeCloseTo(12 * 1.4, 0)
    expect((await corners('.track polygon'))[0]).toEqual(near([10 * 1.4 + 12, 12 * 1.4 - 8]))
    expect((await corners('.shape polygon'))[0]).toEqual(near([20 * 1.4 + 12, 20 * 1.4 - 8]))
    await page.getByText('Shapes and tracks').click()
    expect(await page.locator('.ground').count()).toBe(0)
    await page.getByText('Shapes and tracks').click()
    expect(await page.locator('.ground').count()).toBe(1)
  })

  it('stands under the hand that drags it there, and undo takes it back', async () => {
    await goTo(4)
    await expect.poll(middle).toEqual(near([68, 42.4]))
    const { at, toScreen } = await onScreen()
    await drag(at([70, 44]), 14 * toScreen, -7 * toScreen)
    // On the reference frame that is a 1.4th of the way.
    await expect.poll(async () => (await element()).position.x).toBeCloseTo(50, 0)
    expect((await element()).position.y).toBeCloseTo(31, 0)
    await expect.poll(middle).toEqual(near([82, 35.4]))
    await page.getByRole('button', { name: 'Undo', exact: true }).click()
    await expect.poll(async () => (await element()).position).toEqual({ x: 40, y: 36 })
    await expect.poll(middle).toEqual(near([68, 42.4]))
  })

  it('is as large as the hand draws its corner', async () => {
    await goTo(4)
    await expect.poll(middle).toEqual(near([68, 42.4]))
    const { at, toScreen } = await onScreen()
    const corner = (await corners('.outline polygon'))[2] as number[]
    const [dx, dy] = [(corner[0] as number) - 68, (corner[1] as number) - 42.4]
    await page.locator('.outline').focus()
    await drag(at(corner), dx * toScreen, dy * toScreen)
    await expect.poll(async () => (await element()).scale).toBeCloseTo(1, 1)
    expect((await element()).position).toEqual({ x: 40, y: 36 })
    await page.getByRole('button', { name: 'Undo', exact: true }).click()
    await expect.poll(async () => (await element()).scale).toBe(0.5)
  })

  it('says where the track is lost, and why nothing goes with a stale one', async () => {
    await goTo(4)
    await page.getByText('Goes with the track wall').waitFor()
    expect(await page.getByText('is lost on this frame').count()).toBe(0)
    await goTo(DARK)
    await page.getByText('is lost on this frame').waitFor()
    const shot = JSON.parse(await readFile(shotFile(folder), 'utf8'))
    const corrections = [{ frame: 3, from: [40, 36], to: [61, 40.8] }]
    const stale = { ...shot, tracks: [{ ...shot.tracks[0], corrections }] }
    await writeFile(shotFile(folder), JSON.stringify(stale))
    await page.getByText('was followed on another plate, or for another ask').waitFor()
    await page.getByText('Run `platefit track SHOT wall`.').first().waitFor()
    // What can be placed is still to be seen: the plate alone.
    await goTo(2)
    await pictured(page)
    await trackShot(shotFile(folder))
    await page.getByText('was followed on another plate').waitFor({ state: 'detached' })
  })
})
