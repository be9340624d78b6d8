import { expect, it } from 'vitest'
import { shotSchema } from '../shot/schema.js'
import { ledgerRows } from './ledger.js'

const evidence = { kind: 'set' } as const
const shot = shotSchema.parse({
  platefit: 1,
  plate: { file: 'plate.mov' },
  elements: [
    {
      id: 'smoke',
      file: 'smoke.mov',
      alpha: 'straight',
      nature: 'absorbs',
      position: { x: 10, y: 10 },
      treatments: {
        'light.plateBlack': { value: [0.1, 0.1, 0.1], evidence },
        'light.cast': { value: [1], evidence },
      },
    },
  ],
})
const element = shot.elements[0]

it('says in which unit a result stands when it is not that of the treatment', () => {
  const comparison = { verdicts: [], undecided: [], measured: { black: [0.1, 0.1, 0.1], rise: [0.4] } }
  const rows = ledgerRows(shot, [{ ...(element && { element }), comparison }], [], [])
  const of = (quantity: string) => rows.find((r) => r.quantity === quantity)
  expect(of('plate black')).toMatchObject({ unit: 'linear', result: [0.1, 0.1, 0.1], verdict: 'fits' })
  expect(of('plate black')?.resultUnit).toBeUndefined()
  // The rise of a lit surface is told in stops, its treatment as a factor.
  expect(of('cast')).toMatchObject({ treatment: [1], result: [0.4], resultUnit: 'stops', verdict: 'fits' })
})

it('says what the preview leaves out', () => {
  const treatments = {
    'sensor.overshoot': { value: [0.2], evidence },
    'sensor.overshootWidth': { value: [2], evidence },
    'sensor.chromaBlur': { value: [0], evidence },
  }
  const rows = ledgerRows({ ...shot, plate: { ...shot.plate, treatments } }, [], [], [])
  const noted = rows.filter((r) => /preview/.test(r.note ?? '')).map((r) => r.quantity)
  expect(noted).toEqual(['overshoot'])
})

it('keeps the number of a treatment that is weakened or off, and says how much of it is done', () => {
  const weak = {
    ...shot,
    elements: shot.elements.map((e) => ({ ...e, links: { light: { strength: 0.4 } } })),
  }
  const of = (s: typeof shot) => ledgerRows(s, [], [], []).find((r) => r.quantity === 'cast')
  expect(of(weak)).toMatchObject({ treatment: [1], strength: 0.4 })
  const off = {
    ...shot,
    elements: shot.elements.map((e) => ({ ...e, links: { light: { strength: 0.4, off: true as const } } })),
  }
  expect(of(off)).toMatchObject({ treatment: [1], strength: 0 })
  expect(of(shot)).not.toHaveProperty('strength')
})

it('has a row for what is looked at without a treatment, for the plate and for an element', () => {
  const compared = [
    { comparison: { verdicts: [], undecided: [], measured: { change: [0.002] } } },
    {
      ...(element && { element }),
      comparison: { verdicts: [], undecided: [], measured: { border: [0.001] } },
    },
  ]
  const rows = ledgerRows(shot, compared, [], [])
  expect(rows.find((r) => r.quantity === 'change elsewhere')).toMatchObject({
    link: 'display',
    unit: 'code',
    result: [0.002],
    verdict: 'fits',
  })
  expect(rows.find((r) => r.quantity === 'step at border')).toMatchObject({
    element: 'smoke',
    verdict: 'fits',
  })
})

it('says in stops what the match does and how far the finished file is off', () => {
  const middles = {
    'light.elementMiddle': { value: [0.1, 0.1, 0.2], evidence },
    'light.plateMiddle': { value: [0.2, 0.1, 0.05], evidence },
  }
  const matched = { ...shot, elements: shot.elements.map((e) => ({ ...e, treatments: middles })) }
  const comparison = { verdicts: [], undecided: [], measured: { off: [0.1, 0, 0] } }
  const of = (compared: Parameters<typeof ledgerRows>[1]) =>
    ledgerRows(matched, compared, [], []).find((r) => r.quantity === 'match')
  // Twice the light is a stop, a quarter two stops less: common practice.
  expect(of([])).toMatchObject({
    link: 'light',
    unit: 'stops',
    treatment: [1, 0, -2],
    verdict: 'not checked',
  })
  const [e] = matched.elements
  expect(of([{ ...(e && { element: e }), comparison }])).toMatchObject({
    result: [0.1, 0, 0],
    verdict: 'fits',
  })
  expect(ledgerRows(shot, [], [], []).some((r) => r.quantity === 'match')).toBe(false)
})
