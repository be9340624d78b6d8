import { describe, expect, it } from 'vitest'
import { applyEdit, type Edit, parseShot } from '../shot/index.js'
import { fittedBy, isStale } from './fitted.js'

const evidence = { kind: 'measured', frames: [0], method: 'm', confidence: 0.9 }
const shot = parseShot(
  JSON.stringify({
    platefit: 1,
    plate: { file: 'p.mov' },
    elements: [
      {
        id: 'fire',
        file: 'f.mov',
        alpha: 'straight',
        nature: 'reflects',
        position: { x: 1, y: 1 },
        scale: 1,
        treatments: {
          'light.plateMiddle': { value: [0.1, 0.1, 0.1], evidence },
          'light.plateBlack': { cannotTell: 'why' },
        },
      },
    ],
  }),
  'test',
)
const fitted = fittedBy(shot, 'files', shot)
const staleAfter = (...edits: Edit[]) => isStale(fitted, edits.reduce(applyEdit, shot), 'files')
const moved: Edit = { kind: 'place', element: 'fire', position: { x: 2, y: 1 } }
const back: Edit = { kind: 'place', element: 'fire', position: { x: 1, y: 1 } }
const set = (name: string): Edit => ({ kind: 'treatment', target: 'fire', name, value: [0.2, 0.2, 0.2] })

describe('a fit', () => {
  it('is stale after what it depends on has changed, until that is taken back', () => {
    expect(staleAfter()).toBe(false)
    expect(staleAfter(moved)).toBe(true)
    expect(staleAfter(moved, back)).toBe(false)
    expect(staleAfter({ kind: 'place', element: 'fire', distanceM: 40 })).toBe(true)
    expect(isStale(fitted, shot, 'files made anew')).toBe(true)
    const region = { x: 0, y: 0, width: 20, height: 20, frame: 0 }
    expect(staleAfter({ kind: 'compareWith', element: 'fire', region })).toBe(true)
  })

  it('stands when its numbers are weakened, set by hand, or a tell is meant', () => {
    expect(staleAfter({ kind: 'link', element: 'fire', link: 'light', strength: 0.5 })).toBe(false)
    expect(staleAfter(set('light.plateMiddle'))).toBe(false)
    expect(staleAfter(set('light.plateMiddle'), moved)).toBe(true)
    expect(staleAfter({ kind: 'meant', tell: 'blacks', element: 'fire', measured: 1 })).toBe(false)
  })

  it('is not called stale when somebody else has fitted since', () => {
    const [e] = shot.elements
    const elements = [{ ...e, treatments: { ...e?.treatments, 'light.plateBlack': { cannotTell: 'other' } } }]
    expect(isStale(fitted, applyEdit({ ...shot, elements } as typeof shot, moved), 'files')).toBe(false)
  })
})
