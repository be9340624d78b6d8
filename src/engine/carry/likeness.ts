import type { Grey, Place } from '../../vision/index.js'

/** Half of the square that is compared, px. */
const HALF = 5

/** Correlation of the squares about a place of one picture and about one of another, −1 to 1; 0 where a square is flat. */
export function likeness(a: Grey, p: Place, b: Grey, q: Place): number {
  let [sa, sb, aa, bb, ab] = [0, 0, 0, 0, 0]
  for (let j = -HALF; j <= HALF; j++) {
    for (let i = -HALF; i <= HALF; i++) {
      const [u, v] = [sample(a, p[0] + i, p[1] + j), sample(b, q[0] + i, q[1] + j)]
      sa += u
      sb += v
      aa += u * u
      bb += v * v
      ab += u * v
    }
  }
  const n = (2 * HALF + 1) ** 2
  const [va, vb] = [aa - (sa * sa) / n, bb - (sb * sb) / n]
  return va > 0 && vb > 0 ? (ab - (sa * sb) / n) / Math.sqrt(va * vb) : 0
}

/** Bilinear; the nearest pixel outside. */
function sample({ width, height, data }: Grey, x: number, y: number): number {
  const u = Math.min(Math.max(x - 0.5, 0), width - 1.001)
  const v = Math.min(Math.max(y - 0.5, 0), height - 1.001)
  const [i, j] = [Math.floor(u), Math.floor(v)]
  const [s, t] = [u - i, v - j]
  const at = j * width + i
  const upper = (1 - s) * (data[at] as number) + s * (data[at + 1] as number)
  const lower = (1 - s) * (data[at + width] as number) + s * (data[at + width + 1] as number)
  return (1 - t) * upper + t * lower
}
