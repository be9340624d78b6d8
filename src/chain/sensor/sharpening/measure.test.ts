/** Painted plates: cards with straight sides under a disc of blur, sharpened by the definition; nothing of the chain paints them. */
import { describe, expect, it } from 'vitest'
import { spreadOf, told } from '../../../core/index.js'
import { unsharpened } from './apply.js'
import { measureSharpening, overshootAt } from './measure.js'

const WIDTH = 300
const HEIGHT = 220
const FINE = 5
const curve = { decode: (v: number) => v ** 2.2, encode: (v: number) => v ** (1 / 2.2) }

/** mulberry32 (public domain, from memory). */
function uniforms(seed: number): () => number {
  let s = seed >>> 0
  return () => {
    s = (s + 0x6d2b79f5) >>> 0
    let t = Math.imul(s ^ (s >>> 15), s | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32
  }
}

/** Codes of turned cards, each pixel the mean of 25 places, through a disc of `blur` px. */
function cards(blur: number): Float64Array {
  const u = uniforms(4)
  const [w, h] = [FINE * WIDTH, FINE * HEIGHT]
  const light = new Float64Array(w * h).fill(0.12)
  for (let n = 0; n < 45; n++) {
    const [cx, cy, a, v] = [u() * w, u() * h, u() * Math.PI, 0.02 + 0.7 * u()]
    const [cos, sin, long, high] = [Math.cos(a), Math.sin(a), FINE * (12 + 16 * u()), FINE * (12 + 10 * u())]
    for (let y = Math.max(0, Math.floor(cy - 150)); y < Math.min(h, cy + 150); y++)
      for (let x = Math.max(0, Math.floor(cx - 150)); x < Math.min(w, cx + 150); x++) {
        const [dx, dy] = [(x - cx) * cos + (y - cy) * sin, (y - cy) * cos - (x - cx) * sin]
        if (Math.abs(dx) < long && Math.abs(dy) < high) light[y * w + x] = v
      }
  }
  const r = blur * FINE
  const inside: [number, number][] = []
  for (let y = -Math.ceil(r); y <= r; y++)
    for (let x = -Math.ceil(r); x <= r; x++) if (x * x + y * y <= r * r) inside.push([x, y])
  const at = (x: number, y: number) =>
    light[Math.min(Math.max(y, 0), h - 1) * w + Math.min(Math.max(x, 0), w - 1)] as number
  return Float64Array.from({ length: WIDTH * HEIGHT }, (_, p) => {
    const [x, y] = [FINE * (p % WIDTH), FINE * Math.floor(p / WIDTH)]
    let sum = 0
    for (const [i, j] of inside) for (const k of [0, 2, 4]) sum += at(x + k + i, y + ((2 * k) % 5) + j)
    return curve.encode(sum / inside.length / 3)
  })
}

function filtered(v: Float64Array, sigma: number): Float64Array {
  const reach = Math.ceil(4 * sigma)
  const taps = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * sigma ** 2)),
  )
  const sum = taps.reduce((a, b) => a + b, 0)
  const pass = (from: Float64Array, dx: number, dy: number) =>
    from.map((_, p) => {
      let s = 0
      taps.forEach((t, i) => {
        const x = Math.min(Math.max((p % WIDTH) + dx * (i - reach), 0), WIDTH - 1)
        const y = Math.min(Math.max(Math.floor(p / WIDTH) + dy * (i - reach), 0), HEIGHT - 1)
        s += (t / sum) * (from[y * WIDTH + x] as number)
      })
      return s
    })
  return pass(pass(v, 1, 0), 0, 1)
}

const plain = cards(1.2)
const low = filtered(plain, 1.2)
const sharp = (amount: number) => plain.map((v, p) => v + amount * (v - (low[p] as number)))
/** In eight bits, with 0.7 codes of noise. */
function filmed(code: Float64Array): Float64Array {
  const u = uniforms(9)
  const noise = () => Math.sqrt(-2 * Math.log(1 - u())) * Math.cos(2 * Math.PI * u())
  return code.map((v) => Math.round(Math.min(Math.max(255 * v + 0.7 * noise(), 0), 255)) / 255)
}
const read = (values: Float64Array) =>
  measureSharpening([{ frame: 3, luma: { width: WIDTH, height: HEIGHT, values } }], curve)

describe('the swing of edges', () => {
  it('is none where nothing was sharpened', () => {
    const found = read(filmed(plain))
    expect(told(found)).toBe(true)
    if (told(found)) expect(Math.abs(found.value.overshoot)).toBeLessThan(0.008)
  })

  it.each([0.8, 1.8])('comes back from an amount of %f', (amount) => {
    const found = read(filmed(sharp(amount)))
    if (!told(found)) throw new Error(found.cannotTell)
    const { overshoot, width } = found.value
    // The mean square of a disc along an axis is r²/4, of a pixel 1/12; by hand, 2.5631 σ.
    expect(Math.abs(width / (2.5631 * Math.sqrt(1.2 ** 2 / 4 + 1 / 12)) - 1)).toBeLessThan(0.25)
    // Φ(s/σ) and a numeric maximum over s: the swing of an edge of that width, without the program's function.
    const sigma = width / 2.5631
    const share = (x: number) => {
      let sum = 0
      for (let t = -7; t < x; t += 0.002) sum += Math.exp((-t * t) / 2) * 0.002
      return sum / Math.sqrt(2 * Math.PI)
    }
    const swing = (s: number) =>
      share(s / sigma) + amount * (share(s / sigma) - share(s / Math.hypot(sigma, 1.2))) - 1
    const truth = Math.max(...Array.from({ length: 40 }, (_, i) => swing(i / 8)))
    expect(Math.abs(overshoot / truth - 1)).toBeLessThan(0.2)
    expect(found.evidence).toMatchObject({ kind: 'measured', frames: [3] })
  })

  it('of a softer file is less, and as much on an edge of one width', () => {
    const out = cards(2.2)
    const soft = filtered(out, 1.2)
    const [a, b] = [
      read(filmed(sharp(1.8))),
      read(filmed(out.map((v, p) => v + 1.8 * (v - (soft[p] as number))))),
    ]
    if (!told(a) || !told(b)) throw new Error('cannot tell')
    expect(b.value.overshoot).toBeLessThan(0.7 * a.value.overshoot)
    const same = overshootAt(b, a.value.width)
    expect(Math.abs(same.value - a.value.overshoot)).toBeLessThan(2 * spreadOf(same))
    expect(Math.abs(same.value / a.value.overshoot - 1)).toBeLessThan(0.3)
  })

  it('cannot be told of noise and of even light', () => {
    const u = uniforms(2)
    expect(told(read(Float64Array.from({ length: WIDTH * HEIGHT }, () => 0.4 + 0.1 * u())))).toBe(false)
    expect(read(new Float64Array(WIDTH * HEIGHT).fill(0.5))).toEqual({
      cannotTell: 'only 0 straight edges stand free enough to show whether they swing',
    })
  })
})

it('what was sharpened comes back as it was', () => {
  const back = unsharpened({ width: WIDTH, height: HEIGHT, values: sharp(1.8) }, { amount: 1.8, radius: 1.2 })
  // The two filters hold the border in ways of their own.
  const inside = (p: number) => {
    const [x, y] = [p % WIDTH, Math.floor(p / WIDTH)]
    return Math.min(x, y, WIDTH - 1 - x, HEIGHT - 1 - y) > 20
  }
  const off = plain.map((v, p) => (inside(p) ? Math.abs(v - (back.values[p] as number)) : 0))
  // Amount / (1 + amount) to the twelfth of what was added, and the blur's own error of 1e-4.
  expect(Math.max(...off)).toBeLessThan(0.006)
})
