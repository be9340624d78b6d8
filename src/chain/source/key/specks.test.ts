import { describe, expect, it } from 'vitest'
import { withoutSpecks } from './specks.js'

const size = { width: 20, height: 12 }
/** A solid block from 8, 3 to 15, 9, and what is put on it. */
function matte(...spots: (readonly [x: number, y: number, alpha: number])[]): Float32Array {
  const alpha = new Float32Array(20 * 12)
  for (let y = 3; y < 10; y++) for (let x = 8; x < 16; x++) alpha[20 * y + x] = 1
  for (const [x, y, a] of spots) alpha[20 * y + x] = a
  return alpha
}
const cleared = (alpha: Float32Array, unit = 1) => {
  withoutSpecks(alpha, size, unit)
  return alpha
}

describe('small faint islands', () => {
  it('go where they stand alone, and as dents in what is solid', () => {
    expect(cleared(matte([2, 2, 0.1], [3, 3, 0.2], [11, 6, 0.8]))).toEqual(matte())
  })

  it('stay where they are clear, hang on something, or are seen through', () => {
    const kept = [
      [2, 2, 0.3],
      [7, 5, 0.1],
      [11, 6, 0.5],
    ] as const
    expect(cleared(matte(...kept))).toEqual(matte(...kept))
  })

  it('stay where they are large: a wisp', () => {
    const wisp = Array.from({ length: 70 }, (_, k) => [k % 7, 1 + Math.floor(k / 7), 0.1] as const)
    expect(cleared(matte(...wisp.filter(([x]) => x < 6)))[21]).toBe(0)
    expect(cleared(matte(...wisp))[21]).toBeCloseTo(0.1, 6)
  })
})
