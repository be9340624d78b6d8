import { describe, expect, it } from 'vitest'
import { normal } from '../../../../test/tracking/plate.js'
import { compareRepeats } from './compare.js'
import { comesAgain, repeated, tells } from './run.js'
import { mirrored, SIDE, thumbnail } from './thumbnail.js'

/** Pictures that have nothing to do with each other: 256 cells of noise, of which two correlate by 0 ± 1/16. */
const take = (n: number, from = 0) =>
  Array.from({ length: n }, (_, k) =>
    Float32Array.from({ length: 256 }, (_, i) => 10 + normal(from + k, i, 3)),
  )

describe('runs', () => {
  it('finds the same pictures later, backwards and at half speed', () => {
    const all = take(60)
    expect(repeated(all.slice(0, 30), all.slice(10, 40))).toMatchObject({
      from: 10,
      to: 0,
      slope: 1,
      count: 20,
    })
    const back = all.slice(0, 30).toReversed()
    expect(repeated(all.slice(0, 30), back)).toMatchObject({ from: 0, to: 29, slope: -1, count: 30 })
    const slow = all.slice(0, 15).flatMap((t) => [t, t])
    expect(repeated(slow, all.slice(0, 15))?.slope).toBeCloseTo(0.5, 1)
  })

  it('finds a take that goes round, after its own length', () => {
    const round = [...take(16), ...take(16), ...take(8)]
    expect(comesAgain(round)).toMatchObject({ from: 0, to: 16 })
    expect(comesAgain(take(40))).toBeUndefined()
  })

  // Six pictures at 24 a second on a plate of 12.5: a round takes 3.125 frames, so 7 of 8 come again after three, the first one eighth late.
  it('finds a loop that is shorter than a run, by its beat', () => {
    const six = take(6)
    const shown = Array.from(
      { length: 45 },
      (_, n) => six[Math.floor((n * 24) / 12.5 + 0.5) % 6] as Float32Array,
    )
    expect(comesAgain(shown)).toMatchObject({ from: 0, to: 3, slope: 1 })
    // Held for three frames each it is no loop.
    const held = take(15).flatMap((t) => [t, t, t])
    expect(comesAgain(held)).toBeUndefined()
  })

  it('finds nothing in two takes, nor in fewer than three pictures', () => {
    expect(repeated(take(30), take(30, 100))).toBeUndefined()
    expect(repeated(take(2), take(2))).toBeUndefined()
  })

  it('does not tell pictures apart that are all alike', () => {
    const [one] = take(1) as [Float32Array]
    expect(tells(Array.from({ length: 20 }, () => one))).toBe(false)
    expect(tells(take(20))).toBe(true)
  })
})

describe('thumbnails', () => {
  it('are means of light by what covers, and mirror with their picture', () => {
    const [width, height] = [64, 32]
    // Rises by one a column; its left half does not cover.
    const light = Float32Array.from({ length: width * height }, (_, i) => i % width)
    const alpha = light.map((x) => (x < 32 ? 0 : 255))
    const t = thumbnail({ width, height, light, alpha, top: 255 })
    expect(t[0]).toBe(0)
    // Cell 15 lies over columns 60 to 63, of which six samples are taken.
    expect(Math.abs((t[SIDE - 1] as number) - 61.5)).toBeLessThan(0.25)
    const turned = light.map((x) => width - 1 - x)
    const whole = (of: Float32Array) => thumbnail({ width, height, light: of, alpha: undefined, top: 1 })
    const apart = mirrored(whole(light)).map((v, k) => Math.abs(v - (whole(turned)[k] as number)))
    expect(Math.max(...apart)).toBeLessThan(1e-4)
  })
})

describe('repeats', () => {
  const series = (name: string, pictures: Float32Array[], x: number) => ({
    ...{ name, pictures, varied: false },
    frames: pictures.map((_, k) => k),
    regionAt: () => ({ x, y: 0, width: 40, height: 40 }),
  })

  it('names the second of two, and says of each what is alike', () => {
    const [a, b] = compareRepeats([series('left', take(30), 0), series('right', take(30), 200)])
    expect(a?.comparison.measured.again).toEqual([0])
    expect(b?.comparison.verdicts[0]?.sentence).toBe(
      'right is left once more: the same 30 pictures, at the same time.',
    )
    expect(b?.comparison.measured.again?.[0]).toBeCloseTo(1, 3)
    expect(Math.abs(b?.comparison.measured.alike?.[0] ?? 1)).toBeLessThan(0.1)
  })

  it('takes two that lie over each other for one thing', () => {
    const layers = [series('core', take(30), 0), series('glow', take(30), 4)]
    expect(compareRepeats(layers).flatMap((r) => r.comparison.verdicts)).toEqual([])
  })

  it('cannot tell of pictures that are alike', () => {
    const [one] = take(1) as [Float32Array]
    const [r] = compareRepeats([
      series(
        'still',
        Array.from({ length: 9 }, () => one),
        0,
      ),
    ])
    expect(r?.comparison.undecided[0]?.tell).toBe('repeated')
  })
})
