import { describe, expect, it } from 'vitest'
import { uniform } from '../../../core/index.js'
import { grown, shrunk } from './masks.js'

describe('masks', () => {
  // By definition: a pixel is set when any (all) of those within the square, inside the picture, is.
  it.each([
    [1, 1],
    [7, 5],
    [40, 3],
    [3, 40],
  ])('of %i×%i grow and shrink as squares say', (width, height) => {
    for (const by of [0, 1, 3, 50]) {
      const mask = Uint8Array.from({ length: width * height }, (_, p) =>
        uniform(3, by, p, 0, 0) < 0.5 ? 1 : 0,
      )
      const near = (p: number) => {
        const [x, y] = [p % width, Math.floor(p / width)]
        return [...mask.keys()].filter(
          (q) => Math.abs((q % width) - x) <= by && Math.abs(Math.floor(q / width) - y) <= by,
        )
      }
      const any = Uint8Array.from(mask, (_, p) => (near(p).some((q) => mask[q] === 1) ? 1 : 0))
      const all = Uint8Array.from(mask, (_, p) => (near(p).every((q) => mask[q] === 1) ? 1 : 0))
      expect(grown(mask, { width, height }, by)).toEqual(any)
      expect(shrunk(mask, { width, height }, by)).toEqual(all)
    }
  })
})
