import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { converter } from 'culori'
import { describe, expect, it } from 'vitest'
import { cameras } from '../../../../test/colour/cameras.js'
import { chartPatches, curveOf, responseCurves } from '../../../colour/index.js'
import { emptyImage, type FloatImage, type Reading, type Rgb, told } from '../../../core/index.js'
import { unpack } from '../../../kernels/index.js'
import { openSource } from '../../../media/index.js'
import type { Point, Quad } from './grid.js'
import { measureBracket, measureChart } from './measure.js'

const plate = { curve: 'bt709', primaries: 'bt709' } as const
const SIZE = { x: 0, y: 0, width: 320, height: 240 }

/** Corners of a chart that is held at a slant. */
const QUAD: Quad = [
  [50, 40],
  [270, 60],
  [262, 180],
  [60, 205],
]
const toLight = converter('lrgb')

/**
 * Column and row of a point, by Newton's steps. A projective map is the bilinear one with weighted corners whose term in
 * u·v vanishes, Σ ±wᵢ (xᵢ, yᵢ, 1) = 0: each corner weighs as the triangle of the other three.
 */
function gridOf([px, py]: Point): Point {
  const [[x0, y0], [x1, y1], [x2, y2], [x3, y3]] = QUAD
  const area = (a: Point, b: Point, c: Point) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
  const w = [
    area(QUAD[1], QUAD[2], QUAD[3]),
    area(QUAD[2], QUAD[3], QUAD[0]),
    area(QUAD[3], QUAD[0], QUAD[1]),
    area(QUAD[0], QUAD[1], QUAD[2]),
  ]
  let [u, v] = [0.5, 0.5]
  const at = (s: number, t: number): Point => {
    const k = [(1 - s) * (1 - t), s * (1 - t), s * t, (1 - s) * t].map((b, i) => b * (w[i] as number))
    const sum = (k[0] as number) + (k[1] as number) + (k[2] as number) + (k[3] as number)
    const mix = (a: number, b: number, c: number, d: number) =>
      ((k[0] as number) * a + (k[1] as number) * b + (k[2] as number) * c + (k[3] as number) * d) / sum
    return [mix(x0, x1, x2, x3), mix(y0, y1, y2, y3)]
  }
  for (let i = 0; i < 30; i++) {
    const [x, y] = at(u, v)
    const [xu, yu] = at(u + 1e-5, v)
    const [xv, yv] = at(u, v + 1e-5)
    const [a, b, c, d] = [(xu - x) * 1e5, (xv - x) * 1e5, (yu - y) * 1e5, (yv - y) * 1e5]
    const det = a * d - b * c
    u += (d * (px - x) - b * (py - y)) / det
    v += (a * (py - y) - c * (px - x)) / det
  }
  return [5 * u, 3 * v]
}

function paint(camera: (light: number) => number, lab = chartPatches): FloatImage {
  const image = emptyImage(SIZE)
  const lights = lab.map(([l, a, b]) => toLight({ mode: 'lab', l, a, b }))
  for (let y = 0; y < SIZE.height; y++) {
    for (let x = 0; x < SIZE.width; x++) {
      const [u, v] = gridOf([x + 0.5, y + 0.5])
      const [column, row] = [Math.round(u), Math.round(v)]
      const on = column >= 0 && column < 6 && row >= 0 && row < 4
      const patch = on && Math.max(Math.abs(u - column), Math.abs(v - row)) < 0.42
      const c = patch ? lights[6 * row + column] : { r: 0.02, g: 0.02, b: 0.02 }
      image.data.set(
        [c?.r, c?.g, c?.b].map((l) => camera(Math.max(l ?? 0, 0))).concat(1),
        4 * (y * SIZE.width + x),
      )
    }
  }
  return image
}

const value = <T>(reading: Reading<T>) => {
  if (!told(reading)) throw new Error(reading.cannotTell)
  return reading
}
const reason = (reading: Reading<unknown>) => (told(reading) ? 'told' : reading.cannotTell)

describe('a chart', () => {
  const image = paint(cameras.phone)
  const upright = value(measureChart(image, 7, QUAD, plate))

  it('at a slant tells the curve: the phone gives its own grey steps back', () => {
    const [, green] = responseCurves(upright.value, 'bt709')
    // One and the same factor lies between true light and the rows', which are set at BT.709's middle grey.
    const factors = [0.05, 0.1, 0.2, 0.4, 0.8].map((l) => Math.log2(green.decode(cameras.phone(l)) / l))
    expect(Math.max(...factors) - Math.min(...factors)).toBeLessThan(0.1)
    expect(upright.evidence).toMatchObject({
      kind: 'measured',
      frames: [7],
      region: { x: 50, y: 40, width: 221, height: 166 },
    })
  })

  it.each([
    ['upside down', [2, 3, 0, 1]],
    ['turned a quarter', [1, 2, 3, 0]],
    ['mirrored', [1, 0, 3, 2]],
    ['mirrored and turned a quarter', [0, 3, 2, 1]],
  ])('named %s is read all the same, and said', (words, order) => {
    const turned = order.map((k) => QUAD[k]) as unknown as Quad
    const reading = value(measureChart(image, 7, turned, plate))
    expect(reading.value).toEqual(upright.value)
    expect(reading.evidence).toMatchObject({ method: expect.stringContaining(`it lies ${words}`) })
  })

  it('of other colours is told by its own values', () => {
    const own = [...chartPatches.slice(0, 18).reverse(), ...chartPatches.slice(18)]
    expect(reason(measureChart(paint(cameras.bt709, own), 0, QUAD, plate))).toContain('ΔE off')
    value(measureChart(paint(cameras.bt709, own), 0, QUAD, plate, own))
  })

  it('cannot tell from what lies outside, is tiny, or is no chart there', () => {
    const moved = (dx: number, k = 1) => QUAD.map(([x, y]) => [k * x + dx, k * y]) as unknown as Quad
    expect(reason(measureChart(image, 0, moved(60), plate))).toContain('outside its picture')
    expect(reason(measureChart(image, 0, moved(0, 0.08), plate))).toContain('too small')
    expect(reason(measureChart(image, 0, moved(14), plate))).toMatch(/patch \d+ of the chart is uneven/)
    const flat = { region: SIZE, data: image.data.slice().fill(0.4) }
    expect(reason(measureChart(flat, 0, QUAD, plate))).toContain('needs 5 exposures')
  })
})

describe('a bracket', () => {
  const card = (stops: number, region = { x: 10, y: 10, width: 20, height: 20 }) => {
    const image = emptyImage({ x: 0, y: 0, width: 64, height: 48 })
    return {
      image: { ...image, data: image.data.fill(cameras.bt709(0.18 * 2 ** stops)) },
      frame: 0,
      region,
      stops,
    }
  }
  const stops = [-4, -3, -2, -1, 0, 1, 2]

  it('tells the curve, wherever its stops are counted from', () => {
    const rows = value(
      measureBracket(
        stops.map((s) => card(s)),
        plate,
      ),
    ).value
    const shifted = value(
      measureBracket(
        stops.map((s) => ({ ...card(s), stops: s + 3 })),
        plate,
      ),
    ).value
    expect(shifted.length).toBe(rows.length)
    shifted.forEach((v, i) => {
      expect(v / (rows[i] as number)).toBeCloseTo(1, 3)
    })
    const [red] = responseCurves(rows, 's-log3')
    for (const l of [0.02, 0.1, 0.3, 0.6])
      expect(Math.log2(red.decode(cameras.bt709(l)) / l)).toBeCloseTo(0, 1)
  })

  it('cannot tell from cards outside or too small, and says which', () => {
    const all = stops.map((s) => card(s, s === -1 ? { x: 50, y: 10, width: 20, height: 20 } : undefined))
    expect(reason(measureBracket(all, plate))).toBe(
      'the card of the exposure at -1 stops lies outside its picture, or partly so',
    )
    const tiny = stops.map((s) => card(s, { x: 1, y: 1, width: 3, height: 3 }))
    expect(reason(measureBracket(tiny, plate))).toContain('too small')
  })
})

/** Real footage is looked for beside the checkout (PLATEFIT_FOOTAGE overrides) and skipped where it is absent. */
const footage =
  process.env.PLATEFIT_FOOTAGE ?? fileURLToPath(new URL('../../../../../shared/footage', import.meta.url))

it("a phone's chart under an HLG tag: its greys stand where the maker printed them, which by HLG they do not", async () => {
  const path = join(footage, 'noise', 'chart-hlg10.mp4')
  if (!existsSync(path)) {
    console.log(`skipped: ${path} is not here`)
    return
  }
  const source = await openSource(path)
  const corners: Quad = [
    [305, 137],
    [1534, 152],
    [1512, 877],
    [290, 858],
  ]
  try {
    for await (const native of source.frames(0, 1)) {
      const { encoding } = source.info
      const image = unpack(native, encoding, { x: 0, y: 0, width: native.width, height: native.height })
      const { value: rows, evidence } = value(measureChart(image, 0, corners, encoding))
      expect(evidence).toMatchObject({ method: expect.stringMatching(/lie 3\.\d+ ΔE off/) })
      // Centres of the greys from white to black, by eye; their luminance by CIELAB of the printed L*.
      const greys = [290, 533, 780, 1026, 1272, 1512].map((x, i) => {
        const [l] = chartPatches[18 + i] as Rgb
        const y = Math.round(858 + (19 * i) / 5)
        return { code: image.data[4 * (y * native.width + x) + 1] as number, light: ((l + 16) / 116) ** 3 }
      })
      const [, green] = responseCurves(rows, encoding.curve)
      const spanOff = (decode: (code: number) => number) => {
        const off = greys.map(({ code, light }) => Math.log2(decode(code) / light))
        return Math.max(...off) - Math.min(...off)
      }
      const [own, tagged] = [spanOff(green.decode), spanOff(curveOf(encoding.curve).decode)]
      console.log(`greys apart by ${own.toFixed(2)} stop by the chart, ${tagged.toFixed(2)} by the HLG tag`)
      expect(own).toBeLessThan(0.25)
      expect(tagged).toBeGreaterThan(2 * own)
    }
  } finally {
    await source.close()
  }
})
