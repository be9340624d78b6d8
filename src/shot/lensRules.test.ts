import { expect, it } from 'vitest'
import { parseShot } from './index.js'

const withBlades = (blades: number) => () =>
  parseShot(
    {
      platefit: 1,
      plate: { file: 'p.mov', treatments: { 'lens.blades': { value: [blades], evidence: { kind: 'set' } } } },
    },
    'test',
  )

it('an aperture is round or has three whole blades or more', () => {
  for (const blades of [0, 3, 6, 16]) expect(withBlades(blades)).not.toThrow()
  for (const blades of [1, 2, 5.5, 17]) expect(withBlades(blades)).toThrow()
})

it('a blur that runs over an element is 128 px wide at most', () => {
  const withRadius = (r: number) => () =>
    parseShot(
      {
        platefit: 1,
        plate: { file: 'p.mov' },
        elements: [
          {
            ...{
              id: 'e',
              file: 'e.mov',
              alpha: 'none',
              nature: 'reflects',
              position: { x: 9, y: 9 },
              scale: 1,
            },
            treatments: {
              'lens.blurGradient': { value: [0, 0, -5, 90, 0, r], evidence: { kind: 'set' } },
            },
          },
        ],
      },
      'test',
    )
  expect(withRadius(128)).not.toThrow()
  expect(withRadius(129)).toThrow(/128/)
})

it('a hand-set vignette leaves light everywhere, and a blur runs between two places', () => {
  const of = (plate: object) => () => parseShot({ platefit: 1, plate: { file: 'p.mov', ...plate } }, 'test')
  const vignette = (value: number[], kind = 'set') => {
    const why = kind === 'set' ? {} : { frames: [0], method: 'm', confidence: 0.9 }
    return of({ treatments: { 'lens.vignette': { value, evidence: { kind, ...why } } } })
  }
  expect(vignette([-0.6, 0.1, 0])).not.toThrow()
  expect(vignette([-1, 0, 0])).not.toThrow()
  // 1 − 2·r² + 1.2·r⁴ is 1/6 at least; with 0.9 it is −1/9 at r² = 1/0.9, beyond the corner, where it is −0.1.
  expect(vignette([-2, 1.2, 0])).not.toThrow()
  expect(vignette([-2, 0.9, 0])).toThrow(/-0.1 at r = 1/)
  const gradient = (value: number[]) => of({ blur: { gradient: value } })
  expect(gradient([5, 5, 3, 5, 9, 8])).not.toThrow()
  expect(gradient([5, 5, 3, 5, 5, 3])).not.toThrow()
  expect(gradient([5, 5, 3, 5, 5, 8])).toThrow(/two places/)
})

it('a blur by depth is said once, by both its numbers, and has a map', () => {
  const set = (value: number[]) => ({ value, evidence: { kind: 'set' } })
  const faults =
    (treatments: Record<string, unknown>, over: Record<string, unknown> = {}, blur?: unknown) =>
    () =>
      parseShot(
        {
          platefit: 1,
          plate: { file: 'p.mov', ...(blur === undefined ? {} : { blur }) },
          ...over,
          elements: [
            {
              ...{
                id: 'e',
                file: 'e.mov',
                alpha: 'none',
                nature: 'reflects',
                position: { x: 9, y: 9 },
                scale: 1,
              },
              treatments,
            },
          ],
        },
        'test',
      )
  const site = { site: { depth: { file: 'd.exr' } } }
  const both = { 'lens.depthBlur': set([6]), 'lens.depthFocus': set([2]) }
  expect(faults(both, site)).not.toThrow()
  expect(faults(both)).toThrow(/depth map/)
  expect(faults({ 'lens.depthBlur': set([6]) }, site)).toThrow(/two numbers/)
  // Numbers are set one by one.
  expect(faults({ 'lens.depthFocus': set([2]) }, site)).not.toThrow()
  expect(faults({ ...both, 'lens.blurGradient': set([0, 0, 1, 9, 0, 2]) }, site)).toThrow(/one course/)
  expect(faults({}, site, { depth: { endlessPx: 6, focusM: 2 } })).not.toThrow()
  expect(faults({}, {}, { depth: { endlessPx: 6, focusM: 2 } })).toThrow(/depth map/)
  expect(faults({}, {}, {})).toThrow(/one course/)
  expect(faults({}, {}, { shapes: ['post'], gradient: [0, 0, 1, 9, 0, 2] })).toThrow(/post/)
})
