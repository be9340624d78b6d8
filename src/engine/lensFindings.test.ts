import { expect, it } from 'vitest'
import { parseShot } from '../shot/index.js'
import { lensFindings } from './lensFindings.js'
import { glareOf } from './plateSettings.js'

const set = (value: number[]) => ({ value, evidence: { kind: 'set' } })
const shot = (plate: Record<string, number[]>, element: Record<string, number[]> = {}) => {
  const treatments = (of: Record<string, number[]>) =>
    Object.fromEntries(Object.entries(of).map(([name, value]) => [name, set(value)]))
  const e = { id: 'e', file: 'e.mov', alpha: 'none', nature: 'emits', position: { x: 9, y: 9 }, scale: 1 }
  return parseShot(
    {
      platefit: 1,
      plate: { file: 'p.mov', treatments: treatments(plate) },
      elements: [{ ...e, treatments: treatments(element) }],
    },
    'test',
  )
}
const said = (...of: Parameters<typeof shot>) =>
  lensFindings(shot(...of)).map(({ code, detail }) => `${code} ${detail.where}`)

it('a glare of which only the share is said gets the declared width, and says so', () => {
  const alone = shot({ 'lens.glareShare': [0.1] })
  expect(glareOf(alone, 1)).toEqual({ share: 0.1, width: 16 })
  expect(lensFindings(alone).map((p) => p.message)).toEqual([expect.stringMatching(/16 px are assumed/)])
  expect(said({ 'lens.glareShare': [0.1], 'lens.glareWidth': [9] })).toEqual([])
  expect(said({ 'lens.glareShare': [0] })).toEqual([])
})

it('says which number of the lens does nothing without another one', () => {
  const alone = (name: string) => [`lens.alone plate.treatments["${name}"]`]
  expect(said({ 'lens.glareWidth': [9] })).toEqual(alone('lens.glareWidth'))
  expect(said({ 'lens.axis': [0.1, 0] })).toEqual(alone('lens.axis'))
  expect(said({ 'lens.bladeRotation': [10] })).toEqual(alone('lens.bladeRotation'))
  expect(said({}, { 'lens.depthFocus': [3] })).toEqual([
    'lens.alone elements.e.treatments["lens.depthFocus"]',
  ])
  expect(said({ 'lens.axis': [0.1, 0], 'lens.aberration': [1.001, 1] })).toEqual([])
  expect(said({ 'lens.axis': [0.1, 0], 'lens.distortion': [-0.1, 0, 0, 0, 0] })).toEqual([])
  expect(said({ 'lens.bladeRotation': [10], 'lens.blades': [6] })).toEqual([])
  expect(said({})).toEqual([])
})
