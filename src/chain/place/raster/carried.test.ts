import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Matrix3 } from '../../../colour/index.js'
import { emptyImage, type FloatImage, intersect, type Region } from '../../../core/index.js'
import { type WarpMap, warp } from '../../../kernels/index.js'
import { carriedWarp } from './carried.js'
import type { Carried } from './map.js'
import { placeReach } from './reach.js'

const frame: Region = { x: 0, y: 0, width: 320, height: 200 }
const [W, H] = [240, 160]

/** The matrix that carries the corners of a W × H picture to these places: eight equations by elimination, from memory. */
function fromCorners(to: readonly (readonly [number, number])[]): Matrix3 {
  const rows = to.flatMap(([u, v], i) => {
    const [x, y] = [i === 1 || i === 2 ? W : 0, i > 1 ? H : 0]
    return [
      [x, y, 1, 0, 0, 0, -u * x, -u * y, u],
      [0, 0, 0, x, y, 1, -v * x, -v * y, v],
    ]
  })
  for (let c = 0; c < 8; c++) {
    const p = rows
      .slice(c)
      .reduce((best, r, k) => (Math.abs(r[c]!) > Math.abs(rows[best]![c]!) ? c + k : best), c)
    ;[rows[c], rows[p]] = [rows[p]!, rows[c]!]
    for (let r = 0; r < 8; r++) {
      if (r === c) continue
      const f = rows[r]![c]! / rows[c]![c]!
      rows[r] = rows[r]!.map((v, k) => v - f * rows[c]![k]!)
    }
  }
  return [...rows.map((r, c) => r[8]! / r[c]!), 1] as unknown as Matrix3
}

/** What lies at a place of the plate, by Cramer's rule on the three equations; undefined behind the camera. */
function behind(m: Matrix3, x: number, y: number): [number, number] | undefined {
  const [a, b, c] = [m[0] - x * m[6], m[1] - x * m[7], x * m[8] - m[2]]
  const [d, e, f] = [m[3] - y * m[6], m[4] - y * m[7], y * m[8] - m[5]]
  const det = a * e - b * d
  const [u, v] = [(c * e - b * f) / det, (a * f - c * d) / det]
  return m[6] * u + m[7] * v + m[8] > 0 ? [u, v] : undefined
}

/** Long waves: no filter of a few pixels changes them by much. */
const waves = (u: number, v: number) => 0.5 + 0.2 * Math.sin(u / 9 + 0.3) + 0.2 * Math.cos(v / 11 - u / 40)

function picture(of: (u: number, v: number) => number): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: W, height: H })
  for (let y = 0, i = 0; y < H; y++) {
    for (let x = 0; x < W; x++, i += 4) image.data.set([of(x + 0.5, y + 0.5), 0, 0, 1], i)
  }
  return image
}

const mapOf = (map: Carried) => carriedWarp(map, W, H, frame) as WarpMap

/** Position that the kernel looks at for a pixel: linear between nodes. */
function looksAt({ frame: f, step, columns, rows, shift }: WarpMap, x: number, y: number): [number, number] {
  const [s, t] = [(x - f.x) / step, (y - f.y) / step]
  const [i, j] = [Math.floor(s), Math.floor(t)]
  const at = (axis: number) => {
    const n = (k: number, l: number) =>
      shift[axis * columns * rows + Math.min(l, rows - 1) * columns + Math.min(k, columns - 1)]!
    const [a, b] = [s - i, t - j]
    return (1 - b) * ((1 - a) * n(i, j) + a * n(i + 1, j)) + b * ((1 - a) * n(i, j + 1) + a * n(i + 1, j + 1))
  }
  return [x + 0.5 + at(0), y + 0.5 + at(1)]
}

const corner = (x: number, y: number, by: number) =>
  fc.tuple(
    fc.double({ min: x - by, max: x + by, noNaN: true }),
    fc.double({ min: y - by, max: y + by, noNaN: true }),
  )
/** Four corners that stay convex: from mild to strong perspective. */
const corners = fc.oneof(
  fc.tuple(corner(40, 20, 15), corner(280, 20, 15), corner(280, 180, 15), corner(40, 180, 15)),
  fc.tuple(corner(140, 60, 12), corner(190, 60, 12), corner(300, 190, 20), corner(10, 190, 20)),
)

describe('a carried element', () => {
  it('is looked at where its motion says, to 1/50 px, nodes 8 px apart or not', () => {
    const steps = new Set<number>()
    fc.assert(
      fc.property(corners, (to) => {
        const matrix = fromCorners(to)
        const map = mapOf({ matrix })
        steps.add(map.step)
        let worst = 0
        for (let y = map.frame.y; y < map.frame.y + map.frame.height; y += 3) {
          for (let x = map.frame.x; x < map.frame.x + map.frame.width; x += 5) {
            const there = behind(matrix, x + 0.5, y + 0.5)
            if (there === undefined || Math.abs(there[0]) > 2 * W || Math.abs(there[1]) > 2 * H) continue
            const [u, v] = looksAt(map, x, y)
            worst = Math.max(worst, Math.abs(u - there[0]), Math.abs(v - there[1]))
          }
        }
        expect(worst).toBeLessThan(0.0201)
      }),
      { numRuns: 30, endOnFailure: true },
    )
    expect([...steps].sort()).toEqual([1, 8])
  })

  it('shows its picture there', () => {
    const image = picture(waves)
    fc.assert(
      fc.property(corners, (to) => {
        const matrix = fromCorners(to)
        const { data } = warp(image, mapOf({ matrix }), frame).image
        let [worst, open] = [0, 0]
        for (let y = 0; y < frame.height; y += 2) {
          for (let x = 0; x < frame.width; x += 3) {
            const there = behind(matrix, x + 0.5, y + 0.5)
            // Away from its border by what a filter sees of it: 16 px of the element where it is shrunk 4 times.
            const margin = 20
            if (there === undefined) continue
            const [u, v] = there
            if (u < margin || v < margin || u > W - margin || v > H - margin) continue
            // Shrunk more than 4 times, a pixel holds so much of a wave that a mean over it is another value than its middle's.
            const beside = [behind(matrix, x + 1.5, y + 0.5), behind(matrix, x + 0.5, y + 1.5)]
            if (beside.some((b) => b === undefined || Math.abs(b[0] - u) > 4 || Math.abs(b[1] - v) > 4))
              continue
            const p = 4 * (y * frame.width + x)
            worst = Math.max(worst, Math.abs((data[p] as number) - waves(u, v)))
            open = Math.max(open, Math.abs(1 - (data[p + 3] as number)))
          }
        }
        expect(worst).toBeLessThan(0.02)
        expect(open).toBeLessThan(1e-5)
      }),
      { numRuns: 20, endOnFailure: true },
    )
  })

  it('ends at its horizon: nothing is seen of what lies behind the camera', () => {
    // A floor whose horizon is row 100: below it stands what lies before the camera, above it what lies behind.
    const matrix: Matrix3 = [1, -1.6, 40, 0, -1, 150, 0, -0.01, 1]
    const full = picture(() => 1)
    const { data } = warp(full, mapOf({ matrix }), frame).image
    let [above, below, seen] = [0, 1, 0]
    for (let y = 0, p = 3; y < frame.height; y++) {
      for (let x = 0; x < frame.width; x++, p += 4) {
        const there = behind(matrix, x + 0.5, y + 0.5)
        const alpha = data[p] as number
        if (there === undefined) above = Math.max(above, alpha)
        else if (there[0] > 12 && there[1] > 12 && there[0] < W - 12 && there[1] < 90) {
          below = Math.min(below, alpha)
          seen++
        }
      }
    }
    expect([above, seen > 1000]).toEqual([0, true])
    expect(below).toBeGreaterThan(0.99)
  })

  it('bent by a mesh shows at each bent place what stands there', () => {
    const image = picture(waves)
    const mesh = { x: 20, y: 10, width: 200, height: 140, columns: 6, rows: 5 }
    const node = fc.double({ min: -3, max: 3, noNaN: true })
    const mild = fc.tuple(corner(40, 20, 15), corner(280, 20, 15), corner(280, 180, 15), corner(40, 180, 15))
    fc.assert(
      fc.property(fc.array(node, { minLength: 60, maxLength: 60 }), mild, (nodes, to) => {
        const matrix = fromCorners(to)
        const map = mapOf({ matrix, mesh, nodes })
        const { data } = warp(image, map, frame).image
        let worst = 0
        // Forward by hand: places of the element, and the pixel that they come to lie in.
        for (let k = 0; k < 400; k++) {
          const [u, v] = [25 + (k % 20) * 9.7, 15 + Math.floor(k / 20) * 6.6]
          const [s, t] = [(5 * (u - 20)) / 200, (4 * (v - 10)) / 140]
          const [i, j] = [Math.min(Math.floor(s), 4), Math.min(Math.floor(t), 3)]
          const off = (axis: number) => {
            const n = (a: number, b: number) => nodes[2 * (b * 6 + a) + axis]!
            const top = n(i, j) + (s - i) * (n(i + 1, j) - n(i, j))
            return top + (t - j) * (n(i, j + 1) + (s - i) * (n(i + 1, j + 1) - n(i, j + 1)) - top)
          }
          const w = matrix[6] * u + matrix[7] * v + matrix[8]
          const x = (matrix[0] * u + matrix[1] * v + matrix[2]) / w + off(0)
          const y = (matrix[3] * u + matrix[4] * v + matrix[5]) / w + off(1)
          if (x < 1 || y < 1 || x > frame.width - 2 || y > frame.height - 2) continue
          // Between the four pixels around it, linear: the waves are 50 px and more long.
          const at = (a: number, b: number) => data[4 * (b * frame.width + a)] as number
          const [px, py] = [Math.floor(x - 0.5), Math.floor(y - 0.5)]
          const [a, b] = [x - 0.5 - px, y - 0.5 - py]
          const seen =
            (1 - b) * ((1 - a) * at(px, py) + a * at(px + 1, py)) +
            b * ((1 - a) * at(px, py + 1) + a * at(px + 1, py + 1))
          worst = Math.max(worst, Math.abs(seen - waves(u, v)))
        }
        expect(worst).toBeLessThan(0.03)
      }),
      { numRuns: 10, endOnFailure: true },
    )
  })

  it('needs and touches no less than it sees and changes, whatever part is asked for', () => {
    const side = fc.integer({ min: 0, max: 300 })
    fc.assert(
      fc.property(corners, side, side, fc.integer({ min: 1, max: 60 }), (to, x, y, size) => {
        const map: Carried = { matrix: fromCorners(to) }
        const reach = placeReach(map, W, H, frame)
        const window = intersect({ x, y: y % 200, width: size, height: size }, frame)
        const need = reach.needs(window)
        const noise = picture((u, v) => ((u * 7919 + v * 104729) % 97) / 97)
        const part = emptyImage(need)
        for (let r = 0; r < need.height; r++) {
          const from = 4 * ((r + need.y) * W + need.x)
          part.data.set(noise.data.subarray(from, from + 4 * need.width), 4 * r * need.width)
        }
        const warped = mapOf(map)
        expect([...warp(part, warped, window).image.data]).toEqual([
          ...warp(noise, warped, window).image.data,
        ])
        const dot = emptyImage({ x: x % W, y: y % H, width: 1, height: 1 })
        dot.data.fill(1)
        const touched = reach.touches(dot.region)
        const { data } = warp(dot, warped, frame).image
        for (let p = 0; p < data.length / 4; p++) {
          const [px, py] = [p % frame.width, Math.floor(p / frame.width)]
          const inside =
            px >= touched.x &&
            py >= touched.y &&
            px < touched.x + touched.width &&
            py < touched.y + touched.height
          if (!inside && data[4 * p + 3] !== 0) expect([px, py]).toEqual(touched)
        }
      }),
      { numRuns: 20, endOnFailure: true },
    )
  })
})
