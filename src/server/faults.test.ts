import { describe, expect, it } from 'vitest'
import { applyEdit, parseShot } from '../shot/index.js'
import { faultsNow } from './faults.js'
import type { Fault } from './protocol.js'

const shot = parseShot(
  JSON.stringify({
    platefit: 1,
    plate: { file: 'p.mov', range: 'full' },
    elements: [
      { id: 'fire', file: 'f.mov', alpha: 'straight', nature: 'emits', position: { x: 1, y: 1 }, scale: 1 },
    ],
  }),
  'test',
)
const fault = (target: string, field: 'alpha' | 'range', now: string, was: string | null): Fault => ({
  code: 'diagnose.test',
  sentence: 'It is so.',
  remedy: 'Say so.',
  done: { what: now, undo: { kind: 'override', target, field, value: was } },
  offer: { what: now, edit: { kind: 'override', target, field, value: now } },
})

describe('a fault of a file', () => {
  it('can be taken back while it stands, and offered again when it was', () => {
    const found = [fault('plate', 'range', 'full', null), fault('fire', 'alpha', 'premultiplied', 'straight')]
    const [range, alpha] = faultsNow(found, shot)
    expect([range?.offer, alpha?.done]).toEqual([undefined, undefined])
    const taken = applyEdit(shot, range?.done?.undo as never)
    const made = applyEdit(taken, alpha?.offer?.edit as never)
    const [later, after] = faultsNow(found, made)
    expect([later?.done, after?.offer]).toEqual([undefined, undefined])
    expect([later?.offer, after?.done]).toEqual([found[0]?.offer, found[1]?.done])
  })

  it('that nothing can be written about is only said', () => {
    const { done: _, offer: __, ...said } = fault('plate', 'range', 'full', null)
    expect(faultsNow([said], shot)).toEqual([said])
  })
})
