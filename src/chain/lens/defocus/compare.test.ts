import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, uniform } from '../../../core/index.js'
import type { Seen, SeenElement } from '../../compare.js'
import { compareEdges, lookAtEdges } from './compare.js'

const WIDTH = 320
const HEIGHT = 180
const frame = { x: 0, y: 0, width: WIDTH, height: HEIGHT }

/** Abramowitz & Stegun 7.1.26, |error| < 1.5e-7. */
function erf(x: number): number {
  const t = 1 / (1 + 0.3275911 * Math.abs(x))
  const poly = ((((1.061405429 * t - 1.453152027) * t + 1.421413741) * t - 0.284496736) * t + 0.254829592) * t
  return Math.sign(x) * (1 - poly * Math.exp(-x * x))
}

/** Share of light on the bright side of an edge blurred by a Gaussian, `d` pixels inside. */
const gaussEdge = (d: number, sigma: number) => 0.5 * (1 + erf(d / (sigma * Math.SQRT2)))

/** Upright bars of 40 px, each edge at its own place within a pixel. */
function bars(sigma: number, noise = 0): FloatImage {
  const image = emptyImage(frame)
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      let v = 0.2
      for (let k = 1; k < WIDTH / 40; k++) {
        const at = 40 * k + 0.37 * (k % 3) + 0.01 * y
        v += (k % 2 ? 0.4 : -0.4) * gaussEdge(x + 0.5 - at, sigma)
      }
      for (let c = 0; c < 3; c++)
        image.data[4 * (y * WIDTH + x) + c] = v + noise * (uniform(1, 0, x, y, c) - 0.5)
    }
  }
  return image
}

/** A card of brightness .8 in the middle, its edge blurred by a Gaussian, over the plate. */
function look(plateSigma: number, cardSigma: number, noise = 0) {
  const plateCode = bars(plateSigma, noise)
  const renderedCode: FloatImage = { region: frame, data: plateCode.data.slice() }
  const alpha = new Float32Array(WIDTH * HEIGHT)
  const keep = new Float32Array(alpha.length).fill(1)
  const touched = new Uint8Array(alpha.length)
  for (let p = 0; p < alpha.length; p++) {
    const x = p % WIDTH
    const y = Math.floor(p / WIDTH)
    const a =
      gaussEdge(60.3 - Math.abs(x + 0.5 - 160.2), cardSigma) *
      gaussEdge(40.4 - Math.abs(y + 0.5 - 90), cardSigma)
    if (a < 1e-4) continue
    alpha[p] = a
    keep[p] = 1 - a
    touched[p] = 1
    for (let c = 0; c < 3; c++)
      renderedCode.data[4 * p + c] = (plateCode.data[4 * p + c] as number) * (1 - a) + 0.8 * a
  }
  const seen = { frame: 0, plate: plateCode, plateCode, renderedCode, keep, touched } as unknown as Seen
  const box = { left: 80, top: 30, right: 240, bottom: 150 }
  return lookAtEdges(seen, { alpha, box } as unknown as SeenElement, noise / Math.sqrt(12))
}

const middle = (v: readonly number[]) => [...v].sort((a, b) => a - b)[v.length >> 1] as number

describe('edge meter', () => {
  // 10 to 90 % of a Gaussian edge is 2.5631 σ (normal quantiles). The pixel itself, a box of 1 px, is not in these pictures.
  it.each([1, 1.5, 2, 2.5])('finds 2.5631 σ on the plate within 8 parts in 100, σ = %f', (sigma) => {
    const { plate } = look(sigma, 1)
    expect(plate.length).toBeGreaterThan(100)
    expect(Math.abs(middle(plate) / (2.5631 * sigma) - 1)).toBeLessThan(0.08)
  })

  it.each([1, 2])('finds them on the element, σ = %f', (sigma) => {
    const { element } = look(1.5, sigma)
    expect(element.length).toBeGreaterThan(20)
    expect(Math.abs(middle(element) / (2.5631 * sigma) - 1)).toBeLessThan(0.08)
  })

  it('takes no noise for an edge', () => {
    expect(look(1.5, 1.5, 0.01).plate.length).toBeLessThan(1.1 * look(1.5, 1.5).plate.length)
  })
})

describe('edge widths compared', () => {
  it('stay quiet where the element is as sharp as the plate, or softer', () => {
    for (const card of [1.5, 1.4, 3]) {
      const result = compareEdges('card', [look(1.5, card), look(1.5, card)])
      expect(result.verdicts).toEqual([])
    }
  })

  it('speak of an element that is twice as sharp, and name the blur that it lacks', () => {
    const [v] = compareEdges('card', [look(2, 0.8), look(2, 0.8)]).verdicts
    expect(v?.tell).toBe('edge-width')
    expect(v?.link).toBe('lens')
    expect(v?.measured).toBeLessThan(v?.limit as number)
    expect(v?.limit).toBeLessThan(v?.expected as number)
    // A disc of radius r has a standard deviation of r/2 along each axis; variances add: r = 2 √(2² − 0.8²) = 3.67.
    const named = Number(/of about ([\d.]+) px/.exec(v?.remedy ?? '')?.[1])
    expect(Math.abs(named / 3.67 - 1)).toBeLessThan(0.2)
  })

  it('cannot tell where there are too few edges', () => {
    const result = compareEdges('card', [])
    expect(result.undecided.map((u) => u.tell)).toEqual(['edge-width'])
  })
})
