import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { found } from '../../test/report/findings.js'
import { parseMarkup } from '../../test/report/markup.js'
import { noise, paintedHands } from '../../test/report/scene.js'
import { encodeStill } from '../media/still.js'
import { shotSchema } from '../shot/schema.js'
import type { Hands } from './types.js'
import { buildReport } from './write.js'

/** What a page may weigh, bytes: small enough to send by mail (a choice). */
const LIMIT = 8_000_000
const shot = shotSchema.parse({ platefit: 1, plate: { file: 'plate.mov' } })
let folder: string

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'report-size-'))
})
afterAll(async () => {
  await rm(folder, { recursive: true, force: true })
})

/** Width of the wipe's pictures in a page of 4K noise with forty tells and every file there. */
async function wipeWidth(encode: Hands['encode']): Promise<number> {
  const out = join(folder, 'page.html')
  const hands = paintedHands(noise, 3840, 2160, encode)
  const files = { rendered: 'out.mov', plain: 'plain.mov', truth: 'truth.mov' }
  const { bytes } = await buildReport({ shot, folder: '/s', check: found(40), out, ...files }, {}, hands)
  expect(bytes).toBeLessThan(LIMIT)
  const tags = parseMarkup(await readFile(out, 'utf8'))
  const wipe = tags.filter((t) => t.name === 'img' && t.attributes.get('alt')?.endsWith('on frame 24'))
  const widths = wipe.map((t) => Number(t.attributes.get('width')))
  expect(widths).toHaveLength(4)
  expect(new Set(widths).size).toBe(1)
  return widths[0]!
}

test('4K noise as JPEG keeps the page under its limit, and the wipe large enough to judge by', async () => {
  const encode: Hands['encode'] = (p, format, quality) =>
    encodeStill(p.rgb, p.width, p.height, format, quality)
  expect(await wipeWidth(encode)).toBeGreaterThanOrEqual(960)
})

test('even an encoder that compresses nothing keeps the page under its limit', async () => {
  expect(await wipeWidth(async (p) => p.rgb)).toBeGreaterThanOrEqual(320)
})
