/** Elements with alpha, painted: a soft body with its own colour, as straight colour and cover. */
import { Chance } from './chance.js'
import { HEIGHT, WIDTH } from './paint.js'

export interface Body {
  readonly seed: number
  /** Pixels over which its edge fades. */
  readonly edge: number
  readonly colour: readonly [number, number, number]
  /** How much lighter its core is than its rim, as a share. */
  readonly core: number
  readonly time: number
  /** Shares by which the colour varies from place to place. */
  readonly mottle: number
}

/** R′, G′, B′ straight, and alpha, shares. */
export function straight(b: Body): Float32Array {
  const chance = new Chance(b.seed)
  const blobs = Array.from({ length: 5 }, () => ({
    x: WIDTH / 2 + chance.between(-45, 45) + b.time * chance.between(-1, 1),
    y: HEIGHT / 2 + chance.between(-20, 20) - b.time * 0.6,
    r: chance.between(18, 36),
    p: chance.between(0, 6),
  }))
  const out = new Float32Array(4 * WIDTH * HEIGHT)
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      let inside = -1e9
      for (const k of blobs) inside = Math.max(inside, k.r - Math.hypot(x - k.x, y - k.y))
      inside += 3 * Math.sin(x * 0.21 + blobs[0].p) * Math.cos(y * 0.17 + blobs[1].p)
      const t = Math.min(Math.max(inside / b.edge + 0.5, 0), 1)
      const alpha = t * t * (3 - 2 * t)
      if (alpha === 0) continue
      const vary = 1 + b.mottle * Math.sin(x * 0.31 + y * 0.13 + blobs[2].p) + b.core * (alpha - 0.5)
      const o = 4 * (y * WIDTH + x)
      for (let c = 0; c < 3; c++) out[o + c] = Math.min(Math.max(b.colour[c] * vary, 0), 1)
      out[o + 3] = alpha
    }
  }
  return out
}

/** Each colour as `f` of it and its alpha; the alpha stays. */
export function coloured(rgba: Float32Array, f: (c: number, a: number) => number): Float32Array {
  const out = rgba.slice()
  for (let i = 0; i < out.length; i += 4) for (let c = 0; c < 3; c++) out[i + c] = f(rgba[i + c], rgba[i + 3])
  return out
}
