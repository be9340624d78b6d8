import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region, uniform } from '../../core/index.js'
import { cropImage } from '../wasm/images.js'
import { apertureBlur } from './apply.js'
import type { Aperture } from './shape.js'

const frame = { x: 0, y: 0, width: 640, height: 360 }
const ROUND: Aperture = { blades: 0, rotationDeg: 0, squeeze: 1, corner: 0 }

function point(x: number, y: number, value = 1): FloatImage {
  const image = emptyImage({ x, y, width: 1, height: 1 })
  image.data.fill(value)
  return image
}

/** Corners of the polygon of a disc's area by triangles from its middle, on a circle. */
function corners(n: number, turn: number, radius: number): [number, number][] {
  const outer = radius * Math.sqrt(Math.PI / (n * Math.sin(Math.PI / n) * Math.cos(Math.PI / n)))
  return Array.from({ length: n }, (_, i) => {
    const a = (turn * Math.PI) / 180 + (2 * Math.PI * i) / n
    return [outer * Math.cos(a), outer * Math.sin(a)]
  })
}

/** Inside all sides, by cross products. */
function inside(polygon: readonly [number, number][], x: number, y: number): boolean {
  return polygon.every(([ax, ay], i) => {
    const [bx, by] = polygon[(i + 1) % polygon.length] as [number, number]
    return (bx - ax) * (y - ay) - (by - ay) * (x - ax) >= 0
  })
}

const at = ({ region, data }: FloatImage, x: number, y: number, c = 0) =>
  data[4 * ((y - region.y) * region.width + x - region.x) + c] as number

function moments({ region, data }: FloatImage, mx: number, my: number) {
  let [sum, x1, y1, xx, yy] = [0, 0, 0, 0, 0]
  for (let y = 0, i = 0; y < region.height; y++)
    for (let x = 0; x < region.width; x++, i += 4) {
      const [dx, dy] = [region.x + x - mx, region.y + y - my]
      sum += data[i]
      x1 += data[i] * dx
      y1 += data[i] * dy
      xx += data[i] * dx * dx
      yy += data[i] * dy * dy
    }
  return { sum, x1: x1 / sum, y1: y1 / sum, xx: xx / sum, yy: yy / sum }
}

describe('blur into an aperture', () => {
  it.each([
    [5, 0, 1],
    [6, 17, 0.5],
    [8, 40, 0.8],
  ])(
    'draws a point as the polygon, counted point by point: %f sides, turned %f°, squeezed %f',
    (n, turn, squeeze) => {
      const radius = 9
      const out = apertureBlur(
        point(320, 180),
        radius,
        { ...ROUND, blades: n, rotationDeg: turn, squeeze },
        frame,
      )
      const polygon = corners(n, turn, radius)
      const area = Math.PI * radius ** 2 * squeeze
      let worst = 0
      for (let y = -12; y <= 12; y++)
        for (let x = -12; x <= 12; x++) {
          let share = 0
          for (let j = 0; j < 16; j++)
            for (let i = 0; i < 16; i++)
              if (inside(polygon, (x - 0.5 + (i + 0.5) / 16) / squeeze, y - 0.5 + (j + 0.5) / 16))
                share += 1 / 256
          const { region } = out
          const held =
            x + 320 >= region.x &&
            x + 320 < region.x + region.width &&
            y + 180 >= region.y &&
            y + 180 < region.y + region.height
          worst = Math.max(worst, Math.abs((held ? at(out, 320 + x, 180 + y) * area : 0) - share))
        }
      expect(worst).toBeLessThan(0.1)
    },
  )

  it('loses no light of a point far above 1, and draws it as bright all over its shape', () => {
    const out = apertureBlur(point(320, 180, 5000), 8, { ...ROUND, blades: 6 }, frame)
    expect(Math.abs(moments(out, 320, 180).sum / 5000 - 1)).toBeLessThan(1e-4)
    expect(Math.abs(at(out, 320, 180) / at(out, 324, 183) - 1)).toBeLessThan(1e-6)
    expect(at(out, 320, 180)).toBeGreaterThan(1)
  })

  // Uniform ellipse: variances a²/4 and b²/4; the pixel's 1/12.
  it('is a disc without blades, an ellipse where squeezed', () => {
    const { xx, yy } = moments(apertureBlur(point(320, 180), 10, { ...ROUND, squeeze: 0.5 }, frame), 320, 180)
    expect(Math.abs(xx / (25 / 4 + 1 / 12) - 1)).toBeLessThan(0.01)
    expect(Math.abs(yy / (100 / 4 + 1 / 12) - 1)).toBeLessThan(0.01)
  })

  // Two discs of r whose middles lie d apart share a lens: its middle lies d/2 from either, 2r − d thick, 2√(r² − d²/4) high.
  it('becomes a cat’s eye in the corner and not in the middle', () => {
    const cut = { ...ROUND, corner: 1 }
    const middle = moments(apertureBlur(point(320, 180), 10, cut, frame), 320, 180)
    expect(Math.abs(middle.xx / middle.yy - 1)).toBeLessThan(0.1)
    const out = apertureBlur(point(16, 176), 10, cut, frame)
    const d = (10 * 304) / Math.hypot(320, 180)
    const eye = moments(out, 16, 176)
    expect(eye.x1).toBeCloseTo(d / 2, 0)
    expect(eye.xx - eye.x1 ** 2).toBeLessThan(eye.yy)
    expect(eye.sum).toBeCloseTo(1, 4)
    expect(at(out, 16 - 9, 176)).toBe(0)
  })

  it('gives the same bits from a part as from the whole, bright points included', () => {
    const part = (r: Region) => {
      const image = emptyImage(r)
      for (let y = 0; y < r.height; y++)
        for (let x = 0; x < r.width; x++)
          for (let c = 0; c < 4; c++) {
            const v = uniform(2, 0, r.x + x, r.y + y, c)
            image.data[4 * (y * r.width + x) + c] = v > 0.98 ? 40000 * v : v - 0.2
          }
      return image
    }
    const a = { blades: 7, rotationDeg: 11, squeeze: 0.7, corner: 0.8 }
    const whole = apertureBlur(part({ x: 20, y: 20, width: 70, height: 60 }), 4.3, a, frame)
    const own = { x: 50, y: 45, width: 12, height: 9 }
    const by = 7
    const some = apertureBlur(
      part({ x: 50 - by, y: 45 - by, width: 12 + 2 * by, height: 9 + 2 * by }),
      4.3,
      a,
      frame,
    )
    expect(cropImage(some, own).data).toEqual(cropImage(whole, own).data)
  })

  it('spreads no NaN and no infinity, and leaves what is sharp', () => {
    const image = emptyImage({ x: 0, y: 0, width: 3, height: 1 })
    image.data.set([Number.NaN, Number.POSITIVE_INFINITY, 1, 1], 4)
    const out = apertureBlur(image, 2, { ...ROUND, blades: 5 }, frame)
    expect(out.data.every(Number.isFinite)).toBe(true)
    expect(apertureBlur(image, 0.2, ROUND, frame)).toBe(image)
  })
})
