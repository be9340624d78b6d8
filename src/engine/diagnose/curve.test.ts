/** Which curves a fading noise may mean: a log curve puts no light at 0.09 of the signal and more ([sony-slog3], [arri2012]). */
import { expect, it } from 'vitest'
import { allocateFrame, type Evidence, type PixelLayout } from '../../core/index.js'
import { Codes } from './codes.js'
import { curveFinding } from './curve.js'

const layout: PixelLayout = { family: 'yuv', bits: 10, float: false, subX: 1, subY: 0, alpha: false }
const tag: Evidence = { kind: 'measured', frames: [0], method: 'stream tag', confidence: 1 }
/** Fades by e^(−2.5) from black to white. */
const noise = {
  levels: [0.2, 0.4, 0.6],
  sigma: [0.2, 0.4, 0.6].map((y) => 0.01 * Math.exp(-2.5 * y)),
  slope: -2.5,
}

/** Levels spread evenly from `lowest` to `highest`, shares of the signal. */
function said(lowest: number, highest: number) {
  const frame = allocateFrame(layout, 100, 100)
  const luma = frame.planes[0]?.data as Uint16Array
  luma.forEach((_, i) => {
    luma[i] = 64 + Math.round(876 * (lowest + ((highest - lowest) * i) / luma.length))
  })
  const codes = new Codes(layout)
  codes.add(0, frame)
  return curveFinding(codes, 'limited', 'bt709', tag, noise)
}

it('over a black that is lifted it may be a log curve', () => {
  expect(said(0.15, 0.7)).toMatchObject({ verdict: 'fault', sentence: expect.stringContaining('log or HDR') })
})

it('over a black at black it is none', () => {
  const { verdict, sentence, suggestions } = said(0, 0.84)
  expect(verdict).toBe('fault')
  expect(sentence).toContain('as under HLG or PQ')
  expect(sentence).not.toContain('It looks like')
  expect(suggestions).toBeUndefined()
})
