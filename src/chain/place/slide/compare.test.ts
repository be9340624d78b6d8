import { describe, expect, it } from 'vitest'
import { compareSlide, type SlideLook } from './compare.js'
import type { Way2 } from './model.js'

const look = (off: (frame: number) => Way2, more: Partial<SlideLook> = {}): SlideLook => {
  const frames = Array.from({ length: 13 }, (_, n) => n)
  const own = frames.map(off)
  const one = {
    off: own,
    way: own.map((): Way2 => [0, 0]),
    spread: 0.02,
    growth: own.map(() => 1),
    growthSd: 0,
  }
  return {
    ...{
      name: 'crate',
      foot: true,
      follows: 'ground',
      keyed: false,
      by: 'file',
      frames: 13,
      jumpPx: undefined,
    },
    spans: [{ frames, grounds: [one] }],
    regionAt: () => ({ x: 1, y: 2, width: 3, height: 4 }),
    plateWidth: 1920,
    ...more,
  }
}
const said = (l: SlideLook) => compareSlide(l).verdicts.map((v) => v.sentence)

describe('slide', () => {
  it('speaks beyond 2 px of 1920, from the frame on which it passes 1.92', () => {
    // A thousandth of the width: 1.92 px. 0.25 px a frame pass it on frame 8.
    const [v] = compareSlide(look((n) => [0.25 * n, 0])).verdicts
    expect(v).toMatchObject({ measured: 3, limit: 1.92, unit: 'px' })
    expect(v?.frames[0]).toBe(8)
    expect(said(look((n) => [0.15 * n, 0]))).toEqual([])
  })

  it('allows more to a wider plate', () => {
    expect(said(look((n) => [0.25 * n, 0], { plateWidth: 3840 }))).toEqual([])
  })

  it('is not sure beyond what the measurement may be off by', () => {
    const l = look((n) => [0.25 * n, 0])
    const grounds = l.spans[0]!.grounds.map((g) => ({ ...g, spread: 1 }))
    // √2 px of standard deviation, three of which are 4.2.
    expect(said({ ...l, spans: [{ ...l.spans[0]!, grounds }] })).toEqual([])
  })

  it('tells trembling from leaving, and says neither twice', () => {
    // ±0.5 px in turn is 0.82 · 0.5 rms (`model.test.ts`).
    const shaken = look((n) => [n % 2 === 0 ? 0 : 0.5, 0])
    expect(said(shaken)).toEqual(['crate trembles against the plate: 0.4 px rms from frame to frame.'])
    expect(said({ ...shaken, jumpPx: 0.5 })).toEqual([])
  })

  it('gives a lower bound where its ground was not seen all the time', () => {
    const { verdicts, notes } = compareSlide(look((n) => [0.3 * n, 0], { frames: 20, follows: undefined }))
    expect(verdicts[0]?.sentence).toMatch(/moves under it: at least 3.6 px by frame 12/)
    expect(verdicts[0]?.cause).toMatch(/On 7 of 20 frames its ground was not seen/)
    expect(notes?.slide).toMatch(/not seen on 7 of 20 frames/)
    expect(said(look((n) => [0.3 * n, 0], { follows: undefined }))[0]).not.toMatch(/at least/)
  })

  it('says who put it there, and by what that was judged', () => {
    const left = compareSlide(look((n) => [0.3 * n, 0], { follows: undefined })).verdicts[0]
    expect(left?.sentence).toMatch(/stays in the frame/)
    expect(left?.cause).not.toMatch(/Judged/)
    const document = compareSlide(look((n) => [0.3 * n, 0], { by: 'document' }))
    expect(document.verdicts[0]?.cause).toMatch(/"ground".* Judged by where its document puts it/)
    expect(document.notes?.slide).toMatch(/could not be followed/)
  })

  it('does not blame a track for keys that stand beside it', () => {
    const [both] = compareSlide(look((n) => [0.3 * n, 0], { keyed: true })).verdicts
    expect(both?.cause).toMatch(/^Its keys, or the track "ground",/)
    expect(both?.remedy).toMatch(/^Take its keys away/)
    const [track] = compareSlide(look((n) => [0.3 * n, 0])).verdicts
    expect(track?.remedy).toMatch(/^Correct the track/)
  })

  it('cannot tell where its ground is seen on less than half of its frames', () => {
    const c = compareSlide(look(() => [0, 0], { frames: 27 }))
    expect(c.undecided[0]?.why).toMatch(/no texture about the foot of crate/)
  })
})
