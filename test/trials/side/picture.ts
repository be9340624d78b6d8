/** Two patches side by side, four times as large, the dark lifted: what an eye sees first. */
import { writePng } from '../../worlds/files.js'
import { colours, type Planes } from './planes.js'

const LARGER = 4
/** White line between the two, px of the picture. */
const GAP = 8

/**
 * Each value v of the patch becomes (0.5 + contrast · (v − middle) / (high − low)) ^ 0.5, low and high the first patch's ends in luma;
 * the middle lies between them, or where most of the patch is when the contrast is raised.
 *
 * @param luma share of red and blue of the matrix
 */
export function sideBySide(
  path: string,
  left: Planes,
  right: Planes,
  luma: readonly [number, number],
  contrast = 1,
): void {
  const { width, height, data } = left.planes[0]
  const sorted = data.slice().sort()
  const end = (q: number) => (sorted[Math.floor(q * (sorted.length - 1))]! - 16) / 219
  const [low, high] = [end(0.002), end(0.998)]
  const middle = contrast > 1 ? end(0.5) : (low + high) / 2
  const wide = 2 * width * LARGER + GAP
  const out = new Uint8Array(3 * wide * height * LARGER).fill(255)
  ;[left, right].forEach((patch, k) => {
    const rgb = colours(patch, luma)
    for (let y = 0; y < height * LARGER; y++) {
      for (let x = 0; x < width * LARGER; x++) {
        const from = 3 * (Math.floor(y / LARGER) * width + Math.floor(x / LARGER))
        const to = 3 * (y * wide + k * (width * LARGER + GAP) + x)
        for (let c = 0; c < 3; c++) {
          const v = 0.5 + (contrast * (rgb[from + c]! - middle)) / (high - low)
          out[to + c] = Math.round(255 * Math.sqrt(Math.min(Math.max(v, 0), 1)))
        }
      }
    }
  })
  writePng(path, wide, height * LARGER, 3, out)
}
