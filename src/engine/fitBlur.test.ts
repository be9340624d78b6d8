import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { pictures } from '../../test/small.js'
import { parseShot, type ShotElement } from '../shot/index.js'
import { fitShot } from './fit.js'

const PLATE = 5
const OWN = 3

/** Share of a circle on the bright side of an edge at `s` radii, by plane geometry. */
function behind(s: number): number {
  const part = Math.min(Math.max(s, -1), 1)
  return 0.5 + (part * Math.sqrt(1 - part * part) + Math.asin(part)) / Math.PI
}

/** Slanted stripes, 34 px wide, blurred by a disc; sRGB codes (IEC 61966-2-1, above the toe). */
const stripes =
  (radius: number) =>
  (x: number, y: number): [number, number, number] => {
    const s = x * Math.cos(0.15) + y * Math.sin(0.15)
    const nearest = Math.round(s / 34)
    const light = 0.4 + (nearest % 2 === 0 ? 0.5 : -0.5) * (behind((s - nearest * 34) / radius) - 0.5)
    const code = 1.055 * light ** (1 / 2.4) - 0.055
    return [code, code, code]
  }

const folder = mkdtempSync(join(tmpdir(), 'platefit-blur-'))
beforeAll(async () => {
  await pictures(join(folder, 'plate', 'plate.####.png'), 256, 256, 2, stripes(PLATE))
  await pictures(join(folder, 'sharp', 'sharp.####.png'), 180, 180, 2, stripes(0.4))
  await pictures(join(folder, 'soft', 'soft.####.png'), 180, 180, 2, stripes(OWN))
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

async function blurOf(over: Partial<ShotElement>, camera = {}) {
  const { shot } = await fitShot(
    parseShot(
      {
        platefit: 1,
        ...{ plate: { file: 'plate' }, camera },
        elements: [
          {
            ...{ id: 'board', file: 'sharp', alpha: 'none', nature: 'reflects' },
            ...{ position: { x: 128, y: 128 }, scale: 1, ...over },
          },
        ],
      },
      'test',
    ),
    folder,
  )
  return shot.elements[0]?.treatments['lens.blurRadius'] as {
    value: [number]
    evidence: { kind: string; method?: string; spread?: number; region?: object; frames?: number[] }
  }
}

it('an element without camera facts takes the blur of what stands around it, with its evidence', async () => {
  const { value, evidence } = await blurOf({})
  expect(Math.abs(value[0] - PLATE)).toBeLessThan(2 * (evidence.spread as number))
  expect(evidence).toMatchObject({ kind: 'measured', frames: [0, 1].slice(0, evidence.frames?.length) })
  expect(evidence.region).toEqual({ x: 37, y: 37, width: 182, height: 182 })
  expect(Math.abs(value[0] / PLATE - 1)).toBeLessThan(0.1)
})

// Variances add: 5² = 3² + 4².
it('what its own file brings is not added again', async () => {
  const { value, evidence } = await blurOf({ file: 'soft' })
  expect(Math.abs(value[0] - 4)).toBeLessThan(0.5)
  expect(evidence.method).toContain('that its own file brings')
})

it('the place that it is compared with goes before its surroundings, and the camera’s facts before both', async () => {
  const compareWith = { x: 0, y: 0, width: 170, height: 160, frame: 0 }
  const beside = await blurOf({ compareWith })
  expect(beside.evidence.region).toEqual({ x: 0, y: 0, width: 170, height: 160 })
  const camera = { sensorWidthMm: 36, focalLengthMm: 50, fNumber: 2.8, focusM: 3 }
  const facts = await blurOf({ compareWith, distanceM: 5 }, camera)
  // 12.914 px across on 3840 px [potmesil1981], here on 256.
  expect(facts.value[0]).toBeCloseTo((12.914 / 2) * (256 / 3840), 4)
  expect(facts.evidence.kind).toBe('derived')
})
