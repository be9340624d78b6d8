/** A tag is called a tag only where there is one. */
import { expect, it } from 'vitest'
import { allocateFrame, type Evidence, type PixelLayout } from '../../core/index.js'
import { Codes } from './codes.js'
import { rangeFinding } from './range.js'

const layout: PixelLayout = { family: 'yuv', bits: 8, float: false, subX: 1, subY: 1, alpha: false }
const tag: Evidence = { kind: 'measured', frames: [0], method: 'stream tag', confidence: 1 }
const convention: Evidence = { kind: 'assumed', why: 'no range tag', confidence: 0.9 }

function codes(lowest: number, highest: number): Codes {
  const frame = allocateFrame(layout, 64, 64)
  const luma = frame.planes[0]?.data as Uint8Array
  luma.forEach((_, i) => {
    luma[i] = lowest + (i % (highest - lowest + 1))
  })
  const found = new Codes(layout)
  found.add(0, frame)
  return found
}

it('says whether a tag or a convention is believed where both ranges fit', () => {
  const middle = codes(60, 180)
  expect(rangeFinding(middle, 'limited', tag).sentence).toContain('the tag (limited) is believed')
  const said = rangeFinding(middle, 'limited', convention).sentence
  expect(said).toContain('no tag says which, and the convention (limited) is believed')
})

it('says against what its codes speak', () => {
  const all = codes(0, 255)
  expect(rangeFinding(all, 'limited', tag)).toMatchObject({
    verdict: 'fault',
    sentence: expect.stringMatching(/^Tagged limited range, but/),
    remedy: expect.stringContaining('"range": "full"'),
  })
  expect(rangeFinding(all, 'limited', convention).sentence).toMatch(
    /^Taken for limited range \(no tag says so\), but/,
  )
})
