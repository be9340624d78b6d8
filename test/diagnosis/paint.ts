/**
 * Painted scenes in linear light, diffuse white 1: a textured ground under a sky, things that move over it, lamps, coloured
 * lights, haze. Wider than the frame, so that the camera can pan.
 */
import { Chance } from './chance.js'

export const WIDTH = 320
export const HEIGHT = 180

export interface Look {
  readonly seed: number
  /** Reflectance of the darkest and the lightest ground. */
  readonly dark: number
  readonly light: number
  /** Level of the sky; 0: there is none. */
  readonly sky: number
  /** Share of the picture that lamps of level `lampLevel` take. */
  readonly lamps: number
  readonly lampLevel: number
  /** Share that deep shadow (level 0.0005) takes. */
  readonly shadows: number
  /** Share of fully saturated signs. */
  readonly signs: number
  /** 0 none to 1 all fog of level 0.5. */
  readonly fog: number
  /** Texture contrast, 0 to 1. */
  readonly texture: number
  /** Camera, pixels a frame. */
  readonly pan: number
  /** Things that cross the picture. */
  readonly movers: number
  readonly flat?: boolean
}

export const daylight: Look = {
  seed: 1,
  dark: 0.02,
  light: 0.7,
  sky: 0.9,
  lamps: 0.001,
  lampLevel: 3,
  shadows: 0.02,
  signs: 0.002,
  fog: 0,
  texture: 0.6,
  pan: 1.7,
  movers: 3,
}

const SPAN = 4

/** Linear R, G, B, interleaved. */
export type Picture = Float32Array

export class Scene {
  private readonly wide: number
  private readonly ground: Float32Array
  private readonly movers: { x: number; y: number; r: number; v: number; colour: number[]; rough: number }[]
  private readonly look: Look

  constructor(look: Look) {
    this.look = look
    const chance = new Chance(look.seed)
    this.wide = WIDTH * SPAN
    this.ground = paintGround(look, chance, this.wide)
    this.movers = Array.from({ length: look.movers }, () => ({
      x: chance.between(0, WIDTH),
      y: chance.between(60, 150),
      r: chance.between(8, 26),
      v: chance.between(2, 4) * (chance.next() < 0.5 ? -1 : 1),
      colour: [0, 1, 2].map(() => chance.between(look.dark, look.light)),
      rough: chance.between(0.3, 0.9),
    }))
  }

  /** The scene at time `t`, counted in frames; any fraction. @param camera where its pan is, when that is not `t` */
  at(t: number, exposure = 1, camera = t): Picture {
    const out = new Float32Array(WIDTH * HEIGHT * 3)
    const shift = 40 + this.look.pan * camera
    const whole = Math.floor(shift)
    const part = shift - whole
    for (let y = 0; y < HEIGHT; y++) {
      for (let x = 0; x < WIDTH; x++) {
        const a = (y * this.wide + ((x + whole) % this.wide)) * 3
        const b = (y * this.wide + ((x + whole + 1) % this.wide)) * 3
        const o = (y * WIDTH + x) * 3
        for (let c = 0; c < 3; c++) out[o + c] = this.ground[a + c] * (1 - part) + this.ground[b + c] * part
      }
    }
    for (const m of this.movers) this.put(out, m, t)
    const { fog } = this.look
    if (fog > 0) for (let i = 0; i < out.length; i++) out[i] = out[i] * (1 - fog) + 0.5 * fog
    if (exposure !== 1) for (let i = 0; i < out.length; i++) out[i] *= exposure
    return out
  }

  private put(out: Picture, m: (typeof this.movers)[number], t: number): void {
    const span = WIDTH + 4 * m.r
    const cx = ((((m.x + m.v * t) % span) + span) % span) - 2 * m.r
    for (let y = Math.max(0, Math.floor(m.y - m.r - 1)); y < Math.min(HEIGHT, m.y + m.r + 2); y++) {
      for (let x = Math.max(0, Math.floor(cx - m.r - 1)); x < Math.min(WIDTH, cx + m.r + 2); x++) {
        const cover = Math.min(Math.max(m.r + 0.5 - Math.hypot(x - cx, y - m.y), 0), 1)
        if (cover === 0) continue
        const stripes = 1 + m.rough * 0.8 * Math.sin((x - cx) * 0.9) * Math.sin((y - m.y) * 0.7)
        const o = (y * WIDTH + x) * 3
        for (let c = 0; c < 3; c++) out[o + c] = out[o + c] * (1 - cover) + m.colour[c] * stripes * cover
      }
    }
  }
}

function paintGround(look: Look, chance: Chance, wide: number): Float32Array {
  const out = new Float32Array(wide * HEIGHT * 3)
  const octaves = [4, 11, 29, 67].map((scale) => lattice(chance, scale, wide))
  const horizon = look.sky > 0 ? 62 : 0
  const tint = [1, chance.between(0.85, 1), chance.between(0.7, 0.95)]
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < wide; x++) {
      const o = (y * wide + x) * 3
      if (y < horizon) {
        const level = look.sky * (0.75 + (0.25 * y) / horizon)
        for (let c = 0; c < 3; c++) out[o + c] = level * [0.8, 0.92, 1][c]
        continue
      }
      let n = 0
      octaves.forEach((f, k) => {
        n += f(x, y) * [0.15, 0.2, 0.3, 0.35][k]
      })
      // Spread to the whole of 0 to 1, and then between dark and light in equal ratios.
      const k = Math.min(Math.max(0.5 + (n - 0.5) * 2.2 * look.texture, 0), 1)
      const level = look.dark * (look.light / look.dark) ** k
      for (let c = 0; c < 3; c++) out[o + c] = level * tint[c]
    }
  }
  boxes(out, wide, chance, look.shadows, 26, () => [5e-4, 5e-4, 5e-4])
  boxes(out, wide, chance, look.signs, 14, () => sign(chance))
  boxes(out, wide, chance, look.lamps, 7, () => [
    look.lampLevel,
    look.lampLevel * 0.95,
    look.lampLevel * 0.85,
  ])
  return out
}

/** A light that only one or two of the three kinds of receptors see, as a neon sign or a stage lamp. */
function sign(chance: Chance): number[] {
  const kinds = [
    [1.2, 0, 0],
    [0, 1.1, 0],
    [0, 0.02, 1.3],
    [1.1, 1.1, 0],
    [0, 1, 1.1],
    [1.2, 0, 1],
  ]
  return kinds[Math.floor(chance.next() * kinds.length)]
}

function boxes(
  out: Float32Array,
  wide: number,
  chance: Chance,
  share: number,
  size: number,
  colour: () => number[],
): void {
  let left = share * wide * HEIGHT
  while (left > 0) {
    const w = Math.round(chance.between(0.6, 1.4) * size)
    const h = Math.round(chance.between(0.6, 1.4) * size)
    const x0 = Math.floor(chance.next() * wide)
    const y0 = Math.floor(chance.next() * (HEIGHT - h))
    const rgb = colour()
    for (let y = y0; y < y0 + h; y++)
      for (let x = x0; x < x0 + w; x++)
        for (let c = 0; c < 3; c++) out[(y * wide + (x % wide)) * 3 + c] = rgb[c]
    left -= w * h
  }
}

/** Smooth noise, 0 to 1, of one size. */
function lattice(chance: Chance, size: number, wide: number): (x: number, y: number) => number {
  const cols = Math.ceil(wide / size) + 2
  const rows = Math.ceil(HEIGHT / size) + 2
  const values = Float32Array.from({ length: cols * rows }, () => chance.next())
  const ease = (t: number) => t * t * (3 - 2 * t)
  return (x, y) => {
    const [gx, gy] = [x / size, y / size]
    const [ix, iy] = [Math.floor(gx), Math.floor(gy)]
    const [fx, fy] = [ease(gx - ix), ease(gy - iy)]
    const at = (u: number, v: number) => values[(iy + v) * cols + ix + u]
    return (at(0, 0) * (1 - fx) + at(1, 0) * fx) * (1 - fy) + (at(0, 1) * (1 - fx) + at(1, 1) * fx) * fy
  }
}
