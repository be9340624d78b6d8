/** Facts beside elements: which names fit, what outweighs what, and what a slip of the pen is answered with. */
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { Problem } from '../../core/index.js'
import { FACTS_FILE, FactsRead, factsWords, knownOf, parseFacts } from './facts.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-facts-'))
  await mkdir(join(folder, 'fires', 'big'), { recursive: true })
  await writeFile(
    join(folder, FACTS_FILE),
    JSON.stringify({
      fires: { cameraHeight: 1.6, nature: 'emits' },
      'smoke*.mov': { distance: 20 },
      'nowhere.mov': { height: 2 },
    }),
  )
  await writeFile(
    join(folder, 'fires', FACTS_FILE),
    JSON.stringify({ '*.mov': { height: 4 }, 'low*': { height: 1, cameraHeight: 0.4 } }),
  )
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const at = (root: string, ...path: string[]) => ({
  path: join(folder, ...path),
  root: join(folder, root),
  single: false,
})

describe('which facts an element has', () => {
  it('by name, by pattern, by folder, the inner ones last', async () => {
    const read = new FactsRead()
    expect(await read.of(at('', 'smoke_a.mov'))).toEqual({ distance: 20 })
    expect(await read.of(at('', 'a_smoke.mov'))).toEqual({})
    expect(await read.of(at('', 'fires', 'high.mov'))).toEqual({
      cameraHeight: 1.6,
      nature: 'emits',
      height: 4,
    })
    expect(await read.of(at('', 'fires', 'low.mov'))).toEqual({
      cameraHeight: 0.4,
      nature: 'emits',
      height: 1,
    })
    // * stops at a folder: the pattern of the inner file does not reach deeper, the outer folder's name does.
    expect(await read.of(at('', 'fires', 'big', 'one.mov'))).toEqual({ cameraHeight: 1.6, nature: 'emits' })
  })

  it('of files from the folder that was named on', async () => {
    expect(await new FactsRead().of(at('fires', 'fires', 'high.mov'))).toEqual({ height: 4 })
  })

  it('names that fit nothing are said where the whole folder was searched', async () => {
    const read = new FactsRead()
    for (const name of ['smoke_a.mov', 'fires/low.mov']) await read.of(at('', name))
    const [problem] = await read.unused([folder])
    expect(problem?.detail).toMatchObject({ code: 'suit.facts-unused', received: 'nowhere.mov' })
    expect(await read.unused([join(folder, 'smoke_a.mov')])).toEqual([])
  })
})

describe('what is not as it should be', () => {
  const fault = (text: string) => {
    try {
      parseFacts(text, 'x.json')
    } catch (e) {
      if (e instanceof Problem) return e.detail
    }
    return undefined
  }
  it('is said with its place, and what was meant', () => {
    expect(fault('{')?.code).toBe('suit.facts')
    expect(fault('[]')?.what).toContain('names of elements')
    expect(fault('{"a.mov": {"cameraheight": 1}}')).toMatchObject({
      where: 'x.json: "a.mov"',
      remedy: 'Did you mean "cameraHeight"?',
    })
    expect(fault('{"a.mov": {"height": -1}}')).toMatchObject({
      where: 'x.json: "a.mov".height',
      expected: 'a number of metres above 0',
      received: '-1',
    })
    expect(fault('{"a.mov": {"lightSide": "up", "rate": "fast"}}')?.faults).toHaveLength(2)
  })
})

it('goes above what is known of the run, element by element', () => {
  const known = { elementCameraHeightM: 2, cameraHeightM: 1.7, rate: { num: 24, den: 1 } } as const
  expect(knownOf(known, { cameraHeight: 1, rate: '30000/1001', lightSide: 'left' })).toEqual({
    elementCameraHeightM: 1,
    cameraHeightM: 1.7,
    rate: { num: 30000, den: 1001 },
    elementLightSide: 'left',
  })
  expect(knownOf(known, {})).toEqual(known)
  expect(factsWords({ cameraHeight: 1.6, distance: 12, lightSide: 'left' })).toBe(
    'shot from 1.6 m up and 12 m away, lit from the left',
  )
})
