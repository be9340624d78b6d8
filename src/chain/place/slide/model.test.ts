import { describe, expect, it } from 'vitest'
import {
  type Ground,
  inFile,
  nearest,
  type Span,
  slideOf,
  standing,
  type Way2,
  withBetween,
} from './model.js'

const still = (n: number): Way2[] => Array.from({ length: n }, () => [0, 0])
const ground = (off: readonly Way2[], more: Partial<Ground> = {}): Ground => ({
  off,
  way: still(off.length),
  spread: 0,
  growth: off.map(() => 1),
  growthSd: 0,
  ...more,
})
const span = (first: number, off: readonly Way2[], more: Partial<Ground> = {}): Span => ({
  frames: off.map((_, k) => first + k),
  grounds: [ground(off, more)],
})

describe('slideOf', () => {
  it('adds up what each span leaves, by hand', () => {
    // 3 px to the right in the first span, then 4 px down in the second: 5 px from where it began.
    const right = [0, 1, 2, 3].map((v): Way2 => [v, 0])
    const down = [0, 2, 4].map((v): Way2 => [0, v])
    const s = slideOf([span(0, right), span(3, down)])
    expect(s?.trend).toBeCloseTo(5, 12)
    expect(s?.at).toBe(5)
    expect(s?.course.map((c) => [c.frame, +c.off.toFixed(6)])).toEqual([
      [0, 0],
      [1, 1],
      [2, 2],
      [3, 3],
      [3, 3],
      [4, 3.605551],
      [5, 5],
    ])
  })

  it('has no unrest on a smooth course, and that of one that goes to and fro', () => {
    const smooth = Array.from({ length: 13 }, (_, k): Way2 => [0.2 * k, -0.1 * k])
    expect(slideOf([span(0, smooth)])?.rms).toBeCloseTo(0, 12)
    // ±a in turn: u = 2a on every frame, and √(4a²/1.5).
    const shaking = Array.from({ length: 13 }, (_, k): Way2 => [k % 2 === 0 ? 0 : 0.6, 0])
    expect(slideOf([span(0, shaking)])?.rms).toBeCloseTo(Math.sqrt(0.36 / 1.5), 12)
  })

  it('takes out what the measurement itself trembles by', () => {
    const shaking = Array.from({ length: 13 }, (_, k): Way2 => [k % 2 === 0 ? 0 : 0.6, 0])
    expect(slideOf([span(0, shaking, { spread: 0.2 })])?.rms).toBeCloseTo(Math.sqrt(0.24 - 0.08), 12)
    expect(slideOf([span(0, shaking, { spread: 1 })])?.rms).toBe(0)
  })

  it('says how far the ground and the element went', () => {
    const way = [0, 3, 6].map((v): Way2 => [v, 0])
    const off = way.map(([x]): Way2 => [-x, 0])
    // It stays where it was while its ground goes by 6 px, twice.
    expect(slideOf([span(0, off, { way }), span(2, off, { way })])?.ways).toEqual({ plate: 12, element: 0 })
  })

  it('knows nothing without ground', () => {
    expect(slideOf([])).toBeUndefined()
    expect(slideOf([{ frames: [0, 1], grounds: [] }])).toBeUndefined()
  })
})

describe('grounds', () => {
  it('goes with the one that the anchor goes with', () => {
    const far = ground([
      [0, 0],
      [5, 0],
    ])
    const near = ground([
      [0, 0],
      [0.1, 0],
    ])
    expect(nearest([far, near])).toBe(near)
    expect(nearest([])).toBeUndefined()
  })

  it('may stand between two depths, at one share of their ways', () => {
    const a = ground([
      [0, 0],
      [2, 0],
      [4, 0],
    ])
    const b = ground([
      [0, 0],
      [-2, 0],
      [-4, 0],
    ])
    const all = withBetween([a, b])
    expect(all).toHaveLength(3)
    expect(all[2]?.off.map(([x, y]) => [x + 0, y])).toEqual(still(3))
    // Not beyond them.
    const c = ground([
      [0, 0],
      [1, 0],
      [2, 0],
    ])
    expect(withBetween([a, c])[2]?.off).toEqual(c.off)
  })

  it('leaves out a span in which something passed, where it stands in most', () => {
    const stands = span(0, [
      [0, 0],
      [0.1, 0],
    ])
    const passed = span(1, [
      [0, 0],
      [9, 0],
    ])
    expect(standing([stands, passed, stands])).toEqual([stands, stands])
    expect(standing([stands, passed])).toHaveLength(2)
  })
})

describe('inFile', () => {
  const spans = [span(0, still(5))]
  const at = (x: (n: number) => number, frames = [0, 1, 2, 3, 4], spread = 0.01) =>
    new Map(frames.map((n) => [n, { off: [x(n), 0] as Way2, spread }]))

  it('keeps the document where the file bears it out', () => {
    expect(
      inFile(
        spans,
        at(() => 0.1),
      ),
    ).toEqual({ spans, by: 'file' })
    // What is soft may be off by as much as it is uncertain.
    expect(
      inFile(
        spans,
        at((n) => 0.4 * (n % 2), [0, 1, 2, 3, 4], 0.1),
      ),
    ).toEqual({ spans, by: 'file' })
  })

  it('goes by the file where it lies elsewhere, and between its frames in proportion', () => {
    const { spans: own, by } = inFile(
      spans,
      at((n) => 2 + n, [0, 1, 3, 4]),
    )
    expect(by).toBe('file')
    // 2 px off from the first frame on is no slide; one more on each frame is.
    expect(own[0]?.grounds[0]?.off).toEqual([
      [0, 0],
      [1, 0],
      [2, 0],
      [3, 0],
      [4, 0],
    ])
  })

  it('falls back on the document where it is made out on too few frames', () => {
    expect(
      inFile(
        spans,
        at((n) => n, [0, 1, 2]),
      ),
    ).toEqual({ spans, by: 'document' })
    expect(inFile(spans, new Map()).by).toBe('document')
  })
})
