/**
 * Untouched plates: the null render of a plate whose element never shows must give no tell at all. False alarms are counted.
 * Real footage is looked for beside the checkout (PLATEFIT_FOOTAGE overrides) and skipped where it is absent.
 */
import { existsSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { openSource, parseShot } from '../src/engine/index.js'
import { piece } from './tells/faulty-file.js'
import { NEAR_WALL } from './tells/plate.js'
import { checkFile, type Files, fitted, makeElement, makePlate, render, said } from './tells/shots.js'

const footage =
  process.env.PLATEFIT_FOOTAGE ?? fileURLToPath(new URL('../../shared/footage', import.meta.url))
const root = mkdtempSync(join(tmpdir(), 'platefit-untouched-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

let files: Files
let cloud: string
beforeAll(() => {
  files = makePlate(root, 7)
  cloud = makeElement(files, 'smoke', 7)
})

/** Nothing at all, or smoke that starts after the end. */
function untouched(plate: Record<string, unknown>, elements: boolean) {
  const late = {
    id: 'smoke',
    file: cloud,
    curve: 'srgb',
    alpha: 'straight',
    nature: 'absorbs',
    position: { x: 100, y: 100 },
    scale: 1,
    startFrame: 5000,
  }
  return parseShot({ platefit: 1, plate, elements: elements ? [late] : [] }, 'test')
}

describe('an untouched plate gives no tell', () => {
  it.each(['png-16', 'prores-422-hq', 'dnxhr-hqx', 'h264-preview'] as const)(
    'painted, as %s',
    async (format) => {
      for (const elements of format === 'png-16' ? [false, true] : [true]) {
        const shot = untouched({ file: 'plate', curve: 'srgb', rate: '24' }, elements)
        const result = await checkFile(files, shot, await render(files, shot, { format, variant: 'null' }))
        expect(said(result)).toEqual([])
        expect(result.framesLookedAt.length).toBeGreaterThan(1)
      }
    },
  )

  it.each(['carpark-lockedoff.mp4', 'bedroom-handheld-720p.mp4', 'rooftop-pq.mp4'])('%s', async (name) => {
    const path = join(footage, 'plates', name)
    if (!existsSync(path)) {
      console.log(`skipped: ${path} is not here`)
      return
    }
    const shot = untouched({ file: path, frames: { first: 4, count: 5 } }, true)
    const rendered = await render(files, shot, { format: 'prores-422-hq', variant: 'null' })
    const tells = said(await checkFile(files, shot, rendered))
    console.log(`${name}: ${tells.length} false alarms`)
    expect(tells).toEqual([])
  })
})

/** Files and facts of a plate laid over itself: an element that belongs there beyond doubt. */
async function itself(
  plate: Record<string, unknown>,
  at: { x: number; y: number; width: number; height: number },
  name: string,
) {
  const empty = parseShot({ platefit: 1, plate }, 'test')
  const picture = join(files.folder, `piece-${name}`)
  await piece(await render(files, empty, { variant: 'null' }), picture, at)
  const info = await openSource(resolve(files.folder, plate.file as string))
  const { curve, primaries } = info.info.encoding
  await info.close()
  const element = {
    id: 'piece',
    file: picture,
    curve: plate.curve ?? curve,
    primaries,
    rate: `${info.info.rate.num}/${info.info.rate.den}`,
    alpha: 'straight',
    nature: 'reflects',
    position: { x: at.x + at.width / 2, y: at.y + at.height / 2 },
    scale: 1,
    compareWith: at,
  }
  return parseShot({ platefit: 1, plate, elements: [element] }, 'test')
}

describe('a piece of the plate laid where it came from gives no tell', () => {
  it('painted', async () => {
    const shot = await itself({ file: 'plate', curve: 'srgb', rate: '24' }, NEAR_WALL, 'painted')
    const ready = await fitted(files, shot)
    expect(said(await checkFile(files, ready, await render(files, ready)))).toEqual([])
  })

  it.each([
    ['carpark-lockedoff.mp4', { x: 300, y: 180, width: 240, height: 160 }],
    ['bedroom-handheld-720p.mp4', { x: 480, y: 240, width: 320, height: 240 }],
    ['rooftop-pq.mp4', { x: 700, y: 500, width: 400, height: 300 }],
  ] as const)('%s', async (name, at) => {
    const path = join(footage, 'plates', name)
    if (!existsSync(path)) {
      console.log(`skipped: ${path} is not here`)
      return
    }
    const ready = await fitted(files, await itself({ file: path, frames: { first: 4, count: 4 } }, at, name))
    const tells = said(await checkFile(files, ready, await render(files, ready)))
    console.log(`${name}: ${tells.length} false alarms ${tells.join(' | ')}`)
    expect(tells).toEqual([])
  })
})
