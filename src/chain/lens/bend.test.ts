import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region } from '../../core/index.js'
import { cover, type Warped, warp } from '../../kernels/index.js'
import { linear } from './aberration/model.js'
import { type Bend, plateBend } from './bend.js'
import { nodePlaces } from './distortion/map.js'
import type { Distortion } from './distortion/model.js'

const frame: Region = { x: 0, y: 0, width: 320, height: 200 }
const brown = (...terms: number[]): Distortion => ({ form: 'brown-conrady', terms })
const BARREL = brown(-0.02, 0.003, 0.002, -0.001, 0.0005)
const RED = 1.004
const BLUE = 0.997

/** Round spots of light, σ = 2 px, alpha with them. */
function spots(at: readonly (readonly [number, number])[]): FloatImage {
  const image = emptyImage(frame)
  for (const [x, y] of at) {
    for (let j = Math.floor(y) - 9; j <= y + 9; j++) {
      for (let i = Math.floor(x) - 9; i <= x + 9; i++) {
        const v = Math.exp(-((i + 0.5 - x) ** 2 + (j + 0.5 - y) ** 2) / 8)
        const o = 4 * (j * frame.width + i)
        for (let c = 0; c < 4; c++) image.data[o + c] = (image.data[o + c] as number) + v
      }
    }
  }
  return image
}

function centroid({ region, data }: FloatImage, channel: number, x0: number, y0: number): [number, number] {
  let [sum, x, y] = [0, 0, 0]
  for (let j = Math.round(y0) - 9; j < y0 + 9; j++) {
    for (let i = Math.round(x0) - 9; i < x0 + 9; i++) {
      const v = data[4 * ((j - region.y) * region.width + i - region.x) + channel] as number
      sum += v
      x += v * (i + 0.5)
      y += v * (j + 0.5)
    }
  }
  return [x / sum, y / sum]
}

const grid = [30, 90, 160, 230, 290].flatMap((x) => [30, 100, 170].map((y) => [x + 0.3, y + 0.1] as const))
const bent = (image: FloatImage, bend: Bend | undefined) => warp(image, (bend as Bend).map, frame)

/** Brown 1971 by hand: where green lands. */
function lands([x, y]: readonly [number, number], { terms }: Distortion): [number, number] {
  const [k1 = 0, k2 = 0, p1 = 0, p2 = 0, k3 = 0] = terms
  const [u, v] = [(x - 160) / 100, (y - 100) / 100]
  const r = Math.hypot(u, v)
  const radial = 1 + k1 * r ** 2 + k2 * r ** 4 + k3 * r ** 6
  const dx = 2 * p1 * u * v + p2 * (r ** 2 + 2 * u ** 2)
  const dy = p1 * (r ** 2 + 2 * v ** 2) + 2 * p2 * u * v
  return [160 + 100 * (u * radial + dx), 100 + 100 * (v * radial + dy)]
}

describe("the plate's lens", () => {
  it('moves the dots of a grid where the model says, to 0.05 px', () => {
    const bend = plateBend(frame, BARREL)
    const { image, coverage } = bent(spots(grid), bend)
    expect(coverage).toBeUndefined()
    for (const dot of grid) {
      const [x, y] = lands(dot, BARREL)
      for (const channel of [0, 1, 2, 3]) {
        const [cx, cy] = centroid(image, channel, x, y)
        expect(Math.hypot(cx - x, cy - y)).toBeLessThan(0.05)
      }
      const [dx, dy] = (bend as Bend).drawn(...dot)
      expect(Math.hypot(dx - x, dy - y)).toBeLessThan(1e-9)
    }
  })

  it('draws red larger and blue smaller than green, as told, light and coverage alike', () => {
    const { image, coverage } = bent(
      spots(grid),
      plateBend(frame, BARREL, linear([RED, BLUE])),
    ) as Required<Warped>
    for (const dot of grid) {
      const [gx, gy] = lands(dot, BARREL)
      ;[RED, 1, BLUE].forEach((k, channel) => {
        const [x, y] = [160 + k * (gx - 160), 100 + k * (gy - 100)]
        for (const picture of [image, coverage as FloatImage]) {
          const [cx, cy] = centroid(picture, channel, x, y)
          expect(Math.hypot(cx - x, cy - y)).toBeLessThan(0.05)
        }
      })
      const [ax, ay] = centroid(image, 3, gx, gy)
      expect(Math.hypot(ax - gx, ay - gy)).toBeLessThan(0.05)
    }
  })

  // Over in light [porter1984]: smoke of the plate's own grey changes nothing, whatever it covers.
  it('shows no coloured fringe where grey smoke lies over a plate of the same grey', () => {
    const smoke = spots(grid)
    for (let i = 0; i < smoke.data.length; i += 4) {
      const a = Math.min(smoke.data[i + 3] as number, 0.9)
      smoke.data.set([0.3 * a, 0.3 * a, 0.3 * a, a], i)
    }
    const { image, coverage } = bent(smoke, plateBend(frame, BARREL, linear([RED, BLUE])))
    const over = (alphas: FloatImage | undefined) => {
      const pixels = frame.width * frame.height
      const light = emptyImage(frame)
      light.data.fill(0.3)
      cover(
        {
          light,
          variance: new Float32Array(4 * pixels),
          keep: new Float32Array(pixels),
          touched: new Uint8Array(pixels),
        },
        image,
        [0, 0, 0],
        alphas,
      )
      return light.data.reduce((most, v, i) => (i % 4 === 3 ? most : Math.max(most, Math.abs(v - 0.3))), 0)
    }
    expect(over(coverage)).toBeLessThan(1e-6)
    // Alpha from green's place alone would show it.
    expect(over(undefined)).toBeGreaterThan(0.01)
  })

  // Each form by hand: the radius that one of 1 is drawn at. A map's shifts are those of r = r_d·(1 + 0.02·r_d²).
  const r2 = (x: number, y: number) => x * x + y * y
  it.each<[string, Distortion, (r: number) => number]>([
    [
      'division',
      { form: 'division', terms: [-0.02, 0] },
      (r) => (Math.sqrt(1 + 0.08 * r * r) - 1) / (0.04 * r),
    ],
    [
      'ptlens',
      { form: 'ptlens', terms: [0.01, -0.03, 0.01] },
      (r) => r * (0.01 * r ** 3 - 0.03 * r * r + 0.01 * r + 1.01),
    ],
    ['poly3', { form: 'poly3', terms: [-0.02] }, (r) => r * (1.02 - 0.02 * r * r)],
    ['poly5', { form: 'poly5', terms: [-0.02, 0.003] }, (r) => r * (1 - 0.02 * r * r + 0.003 * r ** 4)],
    [
      'map',
      {
        form: 'map',
        terms: nodePlaces([1.6, 1]).flatMap(([x, y]) => [0.02 * x * r2(x, y), 0.02 * y * r2(x, y)]),
      },
      (r) => {
        let drawn = r
        for (let i = 0; i < 40; i++) drawn = r / (1 + 0.02 * drawn * drawn)
        return drawn
      },
    ],
  ])('moves the dots of a grid where %s says', (_, distortion, radius) => {
    const bend = plateBend(frame, distortion) as Bend
    const { image } = bent(spots(grid), bend)
    for (const dot of grid) {
      const [u, v] = [(dot[0] - 160) / 100, (dot[1] - 100) / 100]
      const scale = radius(Math.hypot(u, v)) / Math.hypot(u, v)
      const [x, y] = [160 + 100 * scale * u, 100 + 100 * scale * v]
      const [cx, cy] = centroid(image, 1, x, y)
      expect(Math.hypot(cx - x, cy - y)).toBeLessThan(0.05)
      const [dx, dy] = bend.drawn(...dot)
      expect(Math.hypot(dx - x, dy - y)).toBeLessThan(2e-3)
    }
  })

  it('bends and colours about the axis that it is given', () => {
    const axis = [0.3, -0.2] as const
    const bend = plateBend(frame, { ...BARREL, axis }, linear([RED, BLUE])) as Bend
    const dot = grid[4] as (typeof grid)[number]
    // The axis lies 30 px right of the middle and 20 px above it: the same as a lens on the middle, all moved.
    const [x, y] = lands([dot[0] - 30, dot[1] + 20], BARREL)
    const [dx, dy] = bend.drawn(...dot)
    expect(Math.hypot(dx - x - 30, dy - y + 20)).toBeLessThan(1e-9)
    const [bx, by] = bend.straight(dx, dy)
    expect(Math.hypot(bx - dot[0], by - dot[1])).toBeLessThan(1e-6)
    const [rx, ry] = centroid(bent(spots([dot]), bend).image, 0, dx, dy)
    expect(Math.hypot(rx - 190 - RED * (dx - 190), ry - 80 - RED * (dy - 80))).toBeLessThan(0.05)
  })

  it('is nothing where nothing is bent', () => {
    expect(plateBend(frame)).toBeUndefined()
    expect(plateBend(frame, brown(0, 0, 0, 0, 0), linear([1, 1]))).toBeUndefined()
  })

  // Linear between nodes: step²/8 · (|∂²/∂x²| + |∂²/∂y²|) of a shift k·x·r²/h² is 8·8·k·x/h², below 5.1e-4 px a direction for a corner
  // moved by 1 % (k = 0.0024, h = 540 px, x ≤ 960 px); the slope of the model itself is within 4 % of 1.
  it('keeps the map within 1e-3 px of the model between its nodes, for a corner moved by 1 %', () => {
    const k = -0.0024
    const { map } = plateBend({ x: 0, y: 0, width: 1920, height: 1080 }, brown(k, 0, 0, 0, 0)) as Bend
    const nodes = map.columns * map.rows
    const at = (plane: number, x: number, y: number) => {
      const [i, j] = [Math.floor(x / 8), Math.floor(y / 8)]
      const [s, t] = [(x % 8) / 8, (y % 8) / 8]
      const node = (k: number, l: number) => map.shift[plane * nodes + l * map.columns + k] as number
      const row = (l: number) => node(i, l) * (1 - s) + node(i + 1, l) * s
      return row(j) * (1 - t) + row(j + 1) * t
    }
    for (let y = 3; y < 1080; y += 31) {
      for (let x = 3; x < 1920; x += 29) {
        const [u, v] = [(x + at(0, x, y) + 0.5 - 960) / 540, (y + at(1, x, y) + 0.5 - 540) / 540]
        const radial = 540 * (1 + k * (u ** 2 + v ** 2))
        expect(Math.hypot(960 + u * radial - x - 0.5, 540 + v * radial - y - 0.5)).toBeLessThan(1e-3)
      }
    }
  })
})
