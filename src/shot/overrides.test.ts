import { describe, expect, it } from 'vitest'
import { Problem } from '../core/index.js'
import { evidenceOf } from './overrides.js'
import { parseShot } from './parse.js'
import { shotText } from './write.js'

const assumed = { kind: 'assumed', why: 'no tag', confidence: 0.7 }
const measured = { kind: 'measured', frames: [0, 4], method: 'a look', confidence: 0.85 }
const element = { id: 'a', file: 'a.mov', nature: 'emits', position: { x: 1, y: 2 }, scale: 1 }
const shotOf = (over: object, plate: object = {}) =>
  parseShot(
    {
      platefit: 1,
      plate: { file: 'p.mov', ...plate },
      elements: [{ ...element, alpha: 'straight', ...over }],
    },
    'a',
  )

function codeOf(work: () => unknown): string {
  try {
    work()
  } catch (e) {
    if (e instanceof Problem) return `${e.code} ${e.detail.where}`
    throw e
  }
  return 'nothing was wrong'
}

describe('evidence beside an override', () => {
  it('is what speaks for it; without any it was set by hand', () => {
    const shot = shotOf({ evidence: { alpha: assumed } }, { range: 'full', evidence: { range: measured } })
    expect(evidenceOf(shot.plate, 'range')).toEqual(measured)
    expect(evidenceOf(shot.plate, 'matrix')).toBeUndefined()
    const [a] = shot.elements
    expect(a && evidenceOf(a, 'alpha')).toEqual(assumed)
    expect(evidenceOf(shotOf({}).elements[0]!, 'alpha')).toBeUndefined()
  })

  it('no longer speaks for a value that a person changed', () => {
    const of = (alpha: string) =>
      evidenceOf(
        shotOf({ alpha, evidence: { alpha: { ...assumed, value: 'straight' } } }).elements[0]!,
        'alpha',
      )
    expect(of('straight')).toEqual(assumed)
    expect(of('premultiplied')).toBeUndefined()
  })

  it('lives through writing and reading', () => {
    const shot = shotOf(
      { evidence: { alpha: { ...measured, value: 'straight' } } },
      { range: 'full', evidence: { range: measured } },
    )
    expect(parseShot(shotText(shot), 'a')).toEqual(shot)
  })

  it('of what is not there, or of what no evidence is known for, is refused with its place', () => {
    expect(codeOf(() => shotOf({ evidence: { range: measured } }))).toBe(
      'shot.evidence-of-nothing a: elements[0].evidence.range',
    )
    const plate = { evidence: { matrix: measured } }
    expect(codeOf(() => shotOf({}, plate))).toBe('shot.evidence-of-nothing a: plate.evidence.matrix')
    expect(codeOf(() => shotOf({}, { evidence: { alpha: measured } }))).toContain('shot.unknown-key')
    expect(codeOf(() => shotOf({ evidence: { alpha: { kind: 'guessed' } } }))).toContain('evidence.alpha')
  })
})
