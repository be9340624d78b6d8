/** Lines judged from figures: limits and words by hand. */
import { describe, expect, it } from 'vitest'
import type { Reading } from '../../core/index.js'
import { bitsFinding } from '../diagnose/bits.js'
import { Codes } from '../diagnose/codes.js'
import { floorLine, noiseLine, veilLine } from './black.js'
import { gridLine } from './blocks.js'
import { borderLine, sidesOutside } from './border.js'
import { depthLine, samplingLine } from './coding.js'
import { matchSlope } from './gain.js'
import { codeStep } from './table.js'
import { cameraHeightLine, lightSideLine } from './viewpoint.js'

const evidence = { kind: 'measured', frames: [0], method: 'by hand', confidence: 1 } as const
const read = <T>(value: T): Reading<T> => ({ value, evidence })
const asIs = { factor: 1, words: 'as it comes', open: true }
const grain = read({ sigma: 0.01, where: 'there' })
const layout = { family: 'yuv', bits: 8, float: false, subX: 1, subY: 1, alpha: false } as const

describe('black', () => {
  it('counts the noise in the plate’s grain, after gain and scale', () => {
    const gain = { factor: 4, words: 'after 2 stops of exposure', open: false }
    // 0.002 · 4 · ½ / 0.01 = 0.4
    expect(noiseLine(read(0.002), grain, gain, 0.5, false)).toMatchObject({
      verdict: 'fine',
      figure: '0.4 × grain',
    })
    expect(noiseLine(read(0.002), grain, gain, 3, false).verdict).toBe('poor')
    expect(noiseLine(read(0.02), grain, asIs, 1, false).verdict).toBe('unfit')
    expect(noiseLine(read(0.02), grain, asIs, 1, true).verdict).toBe('unfit')
  })

  it('says how much more exposure it bears', () => {
    // 0.00125 / 0.01 = 1/8 of the grain: two stops below a half
    expect(noiseLine(read(0.00125), grain, asIs, 1, false).why).toContain('bears 2.0 stops more')
  })

  it('passes on what the meters cannot tell', () => {
    expect(noiseLine(read(1), { cannotTell: 'no flat place' }, asIs, 1, false)).toMatchObject({
      verdict: 'cannot tell',
      why: "the plate's grain: no flat place",
    })
  })

  it('judges floor and veil', () => {
    expect([0.01, 0.05, 0.2].map((v) => floorLine(read(v), asIs).verdict)).toEqual(['fine', 'poor', 'unfit'])
    expect([0, 0.01, 0.05].map((v) => veilLine(read(v)).verdict)).toEqual(['fine', 'poor', 'unfit'])
  })
})

describe('border', () => {
  const free = { top: 0, right: 0, bottom: 0, left: 0, strongest: 0, touches: false }
  const cut = { ...free, bottom: 0.4, strongest: 0.9, touches: true }
  it('is free, cut, faintly cut, or cut where nobody sees it', () => {
    expect(borderLine([{ frame: 0, contact: free }], undefined).verdict).toBe('fine')
    expect(borderLine([{ frame: 7, contact: cut }], undefined)).toMatchObject({
      verdict: 'unfit',
      figure: 'cut at the bottom',
    })
    expect(borderLine([{ frame: 0, contact: { ...cut, strongest: 0.05 } }], []).verdict).toBe('poor')
    expect(borderLine([{ frame: 0, contact: cut }], ['bottom']).verdict).toBe('fine')
  })

  it('knows which sides lie outside the plate', () => {
    const plate = { width: 100, height: 100 }
    expect(sidesOutside({ x: 50, y: 90 }, { width: 40, height: 40 }, plate)).toEqual(['bottom'])
    expect(sidesOutside({ x: 10, y: 50 }, { width: 40, height: 40 }, plate)).toEqual(['left'])
  })
})

describe('coding', () => {
  it('holds one code against the grain', () => {
    expect(depthLine({ ...layout, bits: 10 }, undefined, 1, grain).verdict).toBe('fine')
    expect([0.01, 0.05, 0.1].map((step) => depthLine(layout, undefined, step, grain).verdict)).toEqual([
      'fine',
      'poor',
      'unfit',
    ])
  })

  it('counts the bits that are used, not those of the file', () => {
    const ten = { ...layout, bits: 10 }
    // Codes of 8 bits moved up by two: every fourth code of ten bits alone.
    const codes = new Codes(ten)
    const data = Uint16Array.from({ length: 64 * 64 }, (_, i) => 4 * (16 + (i % 200)))
    const plane = { width: 64, height: 64, data }
    codes.add(0, { layout: ten, width: 64, height: 64, planes: [plane, plane, plane] })
    const line = depthLine(ten, bitsFinding(codes), 0.05, grain)
    expect(line).toMatchObject({ verdict: 'poor', figure: '8 of 10 bits', value: 8 })
    expect(line.remedy).toContain('before it went through 8 bits')
  })

  it('makes one code linear light', () => {
    const file = { layout, encoding: { curve: 'linear', range: 'limited' } } as const
    expect(codeStep(file, 0.5, { ...asIs, factor: 2 }, 8)).toBeCloseTo(2 / 219, 10)
    // sRGB, 8 bit full: the slope at code 0 is 1 / 12.92 [iec61966-2-1].
    const srgb = { layout: { ...layout, family: 'rgb' }, encoding: { curve: 'srgb', range: 'full' } } as const
    expect(codeStep(srgb, 0, asIs, 8)).toBeCloseTo(1 / 255 / 12.92, 10)
  })

  it('asks for full colour only of what is keyed, and by its size', () => {
    expect(samplingLine(layout, undefined, undefined).verdict).toBe('fine')
    expect(samplingLine(layout, 'green', 0.5).verdict).toBe('fine')
    expect(samplingLine(layout, 'green', 1)).toMatchObject({ verdict: 'poor', figure: '4:2:0' })
    expect(samplingLine(layout, 'green', 1.5).verdict).toBe('unfit')
    expect(samplingLine(layout, 'green', undefined).verdict).toBe('cannot tell')
    expect(samplingLine({ ...layout, subX: 0, subY: 0 }, 'green', 2).verdict).toBe('fine')
  })

  it('judges the grid of blocks', () => {
    expect([0.9, 1.3, 1.6, 2.4].map((ratio) => gridLine(ratio).verdict)).toEqual([
      'fine',
      'fine',
      'poor',
      'unfit',
    ])
  })
})

describe('gain of a match', () => {
  it('is the mean slope of its channels', () => {
    const points = (b: number, w: number) =>
      ({ black: [b, b, b], middle: [0, 0, 0], white: [w, w, w] }) as const
    expect(matchSlope(points(0.1, 0.6), points(0, 0.25))).toBeCloseTo(0.5, 12)
    expect(matchSlope(points(0.3, 0.3), points(0, 1))).toBeUndefined()
    expect(matchSlope(undefined, points(0, 1))).toBeUndefined()
  })
})

describe('viewpoint', () => {
  it('compares angles where both distances are told, else heights', () => {
    // atan(10/10) − atan(0/10) = 45°
    const far = { cameraHeightM: 10, elementCameraHeightM: 0, distanceM: 10, elementDistanceM: 10 }
    expect(cameraHeightLine(far)).toMatchObject({ verdict: 'unfit', figure: '45° off' })
    expect(cameraHeightLine({ cameraHeightM: 2, elementCameraHeightM: 1.7 }).verdict).toBe('fine')
    expect(cameraHeightLine({ cameraHeightM: 2, elementCameraHeightM: 1.2 }).verdict).toBe('poor')
    expect(cameraHeightLine({ cameraHeightM: 2 }).verdict).toBe('cannot tell')
    // Nobody told anything: it asks, and costs no score.
    expect(cameraHeightLine({})).toMatchObject({ verdict: 'cannot tell', worth: 1 })
  })

  it('compares sides; light has none', () => {
    expect(lightSideLine({ lightSide: 'left', elementLightSide: 'left' })?.verdict).toBe('fine')
    expect(lightSideLine({ lightSide: 'left', elementLightSide: 'right' })?.remedy).toBe('mirror it')
    expect(lightSideLine({ lightSide: 'front', elementLightSide: 'back' })?.verdict).toBe('unfit')
    expect(lightSideLine({ lightSide: 'left', nature: 'emits' })).toBeUndefined()
  })
})
