import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { found, LEDGER, tell } from '../../test/report/findings.js'
import { outside, parseMarkup } from '../../test/report/markup.js'
import { png } from '../../test/report/png.js'
import { dusk, paintedHands } from '../../test/report/scene.js'
import type { CheckResult } from '../engine/types.js'
import { shotSchema } from '../shot/schema.js'
import type { Hands, ReportInput } from './types.js'
import { buildReport } from './write.js'

const shot = shotSchema.parse({ platefit: 1, plate: { file: 'plate.mov' } })
const hands = paintedHands(dusk(0.25), 240, 135, async (p) => png(p))
let folder: string

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'report-'))
})
afterAll(async () => {
  await rm(folder, { recursive: true, force: true })
})

async function page(
  check: CheckResult,
  over: Partial<ReportInput> = {},
  use: Hands = hands,
): Promise<string> {
  const out = join(folder, 'sub', 'page.html')
  const input = { shot, folder: '/shots', check, rendered: 'out.mov', plain: 'plain.mov', out, ...over }
  const result = await buildReport(input, {}, use)
  const text = await readFile(out, 'utf8')
  expect(result).toEqual({ out, bytes: Buffer.byteLength(text) })
  const tags = parseMarkup(text)
  expect(outside(text, tags)).toEqual([])
  const ids = tags.flatMap((t) => t.attributes.get('id') ?? [])
  expect(new Set(ids).size).toBe(ids.length)
  for (const t of tags) {
    if (t.name === 'label') expect(ids).toContain(t.attributes.get('for'))
    if (t.name === 'img') expect(t.attributes.get('alt')).toBeTruthy()
  }
  return text
}

const count = (text: string, part: string) => text.split(part).length - 1

test('seven tells: the worst as a heading, four more open, the rest folded, then the meant, then what cannot be told', async () => {
  const text = await page(found(7), { truth: 'truth.mov' })
  const order = [
    'aria-label="Where the wipe stands',
    '<h2>Smoke black is 1.4\u00a0stops too deep for 900 m.</h2>',
    'The smoke is too blue (4).',
    '2 lighter tells',
    'The smoke is too blue (5).',
    'Meant so',
    'Undecided</h2>',
    'Each channel alone',
    'Difference ×8',
    'Result less truth',
    'Ledger</h2>',
    'Facts</h2>',
  ].map((part) => text.indexOf(part))
  expect(order).not.toContain(-1)
  expect([...order].sort((a, b) => a - b)).toEqual(order)
  // The wipe shows the frame on which the effect is largest; the worst tell ends before it and keeps its own.
  expect(text).toContain('frame 47 of the shot')
  expect(text).toContain('alt="Result, frame 24"')
})

test('the same input gives the same bytes', async () => {
  expect(await page(found(4))).toBe(await page(found(4)))
})

test('no tell: says so plainly, with what was looked at', async () => {
  const text = await page(found(0))
  expect(text).toContain('Nothing that was looked at gives it away.')
  expect(text).toContain('Compared on frames 0, 8, 16, 24, 32, 40 and 47 of the finished file: ')
  expect(text).toContain('grain at middle grey')
})

test('forty tells: every crop is there, five are open', async () => {
  const text = await page(found(40))
  expect(text).toContain('35 lighter tells')
  expect(count(text, '<figure class="crops"')).toBe(40)
})

test('nothing found, nothing measured: still a page', async () => {
  const text = await page({ rendered: 'out.mov', framesLookedAt: [], tells: [], undecided: [], ledger: [] })
  expect(text).toContain('Nothing could be compared')
  expect(text).toContain('Nothing was measured.')
})

test('without a plain over the wipe lays the result against the plate and says so', async () => {
  const { plain: _, ...rest } = { plain: 'x', shot, folder: '/shots', rendered: 'out.mov' }
  const out = join(folder, 'plainless.html')
  await buildReport({ ...rest, check: found(1), out }, {}, hands)
  const text = await readFile(out, 'utf8')
  expect(text).toContain('There is no plain over of this shot')
  expect(text).not.toContain('id="against-plain"')
})

test('a missing plain over is rendered on the frames that are shown large, where a way is given', async () => {
  const asked: unknown[] = []
  const out = join(folder, 'rendered.html')
  const renderPlain = async (frames: { first: number; count: number }) => {
    asked.push(frames)
    return 'made.mov'
  }
  await buildReport(
    { shot, folder: '/shots', rendered: 'out.mov', check: found(1), out, renderPlain },
    {},
    hands,
  )
  expect(asked).toEqual([
    { first: 47, count: 1 },
    { first: 24, count: 1 },
  ])
  const text = await readFile(out, 'utf8')
  expect(text).toContain('id="against-plain"')
  expect(text).toContain('alt="Plain over, frame 24"')
  expect(text).not.toContain('made.mov')
})

test('whatever stands in documents and file names stays text', async () => {
  const bad = `</style></script><script>alert("1")</script><img src=x onerror='a'>&amp;\u0007`
  const evil = tell(0, {
    sentence: bad,
    cause: bad,
    remedy: bad,
    link: bad,
    element: bad,
    unit: bad,
    tell: bad,
  })
  const ledger = LEDGER.map((r) => ({
    ...r,
    quantity: bad,
    link: bad,
    element: bad,
    note: bad,
    evidence: { kind: 'derived', formula: bad, inputs: { [bad]: bad }, confidence: 1 } as const,
  }))
  const undecided = [{ tell: bad, link: bad, element: bad, why: bad }]
  const check = found(0, { tells: [evil, { ...evil, meant: true }], ledger, undecided })
  const text = await page(check, { title: bad, rendered: bad })
  expect(count(text, '<script>')).toBe(1)
  expect(text).not.toContain('<img src=x')
  expect(text).not.toContain('\u0007')
})

test('files of two sizes are refused', async () => {
  const small = paintedHands(dusk(0.2), 192, 108, hands.encode)
  const mixed: Hands = { ...hands, open: (role, path) => (role === 'plain' ? small : hands).open(role, path) }
  await expect(page(found(1), {}, mixed)).rejects.toMatchObject({
    detail: { code: 'report.size-differs', expected: '240×135', received: '192×108' },
  })
})

test('a place that cannot be written is a problem, and nothing is left behind', async () => {
  const blocked = join(folder, 'file')
  await writeFile(blocked, '')
  await expect(page(found(1), { out: join(blocked, 'page.html') })).rejects.toMatchObject({
    detail: { code: 'report.cannot-write' },
  })
  expect((await readdir(folder)).filter((f) => f.endsWith('.part'))).toEqual([])
})

test('stopping it leaves no page', async () => {
  const out = join(folder, 'stopped.html')
  const input = { shot, folder: '/shots', check: found(1), rendered: 'out.mov', out }
  await expect(buildReport(input, { signal: AbortSignal.abort() }, hands)).rejects.toThrow()
  expect(await readdir(folder)).not.toContain('stopped.html')
})
