import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, uniform } from '../../core/index.js'
import type { Seen } from '../compare.js'
import { comparePlate, lookAtPlate } from './compare.js'

const WIDTH = 320
const HEIGHT = 192

/** What a changed file looks like: `change` in code values by pixel, besides a codec's error of σ ≈ `error` a pixel. */
function look(
  change: (x: number, y: number) => number,
  error = 0.01,
  touched?: (x: number) => boolean,
  level?: (x: number) => number,
) {
  const frame = { x: 0, y: 0, width: WIDTH, height: HEIGHT }
  const plateCode = emptyImage(frame)
  if (level !== undefined)
    plateCode.data.forEach((_, i, data) => {
      data[i] = level((i >> 2) % WIDTH)
    })
  const renderedCode: FloatImage = { region: frame, data: plateCode.data.slice() }
  const mask = new Uint8Array(WIDTH * HEIGHT)
  for (let p = 0; p < mask.length; p++) {
    const x = p % WIDTH
    const y = Math.floor(p / WIDTH)
    if (touched?.(x)) mask[p] = 1
    for (let c = 0; c < 3; c++)
      renderedCode.data[4 * p + c] =
        (plateCode.data[4 * p + c] as number) +
        change(x, y) +
        error * Math.sqrt(12) * (uniform(5, 0, x, y, c) - 0.5)
  }
  return lookAtPlate({
    frame: 3,
    plate: plateCode,
    plateCode,
    renderedCode,
    touched: mask,
  } as unknown as Seen)
}

const tells = (...l: ReturnType<typeof look>[]) => comparePlate(l).verdicts

describe('plate changed', () => {
  it('is quiet under a codec’s own error', () => {
    expect(tells(look(() => 0))).toEqual([])
    // Errors that hold over whole blocks of 16: σ = 0.0025, as a strong 4:2:0 codec leaves in blue.
    expect(tells(look((x, y) => 0.0087 * (uniform(9, 0, x >> 4, y >> 4, 0) - 0.5)))).toEqual([])
  })

  // Blocks of blue, σ 0.8 of 255 and normal (twelve uniform numbers less six), as a preview of 2160p leaves them.
  it('is quiet under what a preview leaves in the blue of blocks', () => {
    const normal = (x: number, y: number) =>
      Array.from({ length: 12 }, (_, k) => uniform(7, k, x >> 4, y >> 4, 0)).reduce((a, b) => a + b, -6)
    expect(tells(look((x, y) => (0.8 / 255) * normal(x, y)))).toEqual([])
  })

  // A gamma of 2.4 read as one of 2.35 moves the middle of the scale most: 0.5^(2.4/2.35) is 0.007 below 0.5, black and white stay.
  it('speaks of another curve, which moves the middle levels alone', () => {
    const level = (x: number) => x / (WIDTH - 1)
    const [v] = tells(look((x) => level(x) ** (2.4 / 2.35) - level(x), 0.01, undefined, level))
    expect(v?.measured).toBeCloseTo(0.0075, 3)
  })

  it('speaks of a level that moved by 2 steps of 8 bits, and says by how much', () => {
    const [v] = tells(look(() => 2 / 255))
    expect(v?.tell).toBe('plate-changed')
    expect(v?.measured).toBeCloseTo(2 / 255, 3)
    expect(v?.limit).toBeLessThan(v?.measured as number)
  })

  it('speaks of a patch of 4 blocks, and where it is', () => {
    const [v] = tells(look((x, y) => (x >= 64 && x < 96 && y >= 32 && y < 64 ? 0.03 : 0)))
    expect(v?.region.x).toBeGreaterThanOrEqual(64)
    expect(v?.region.x).toBeLessThan(96)
    expect(v?.frames).toEqual([3])
  })

  it('speaks of another frame: much change without a mean', () => {
    expect(tells(look((x, y) => 0.2 * (uniform(2, 0, x >> 4, y >> 4, 0) - 0.5)))).toHaveLength(1)
  })

  it('does not look where the treatments touch, and says when that is everywhere', () => {
    expect(
      tells(
        look(
          (x) => (x < 100 ? 0.1 : 0),
          0.01,
          (x) => x < 100,
        ),
      ),
    ).toEqual([])
    const all = comparePlate([
      look(
        () => 0.1,
        0,
        () => true,
      ),
    ])
    expect(all.verdicts).toEqual([])
    expect(all.undecided.map((u) => u.tell)).toEqual(['plate-changed'])
  })
})
