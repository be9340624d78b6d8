/**
 * A frame by brute force: rays spread over the pixel, the lens and the time that the shutter is open, each through every shape from the
 * nearest on. The same rays give the picture, the true alpha and the element's own light, free of what the wall shines on it. The wall, far
 * out of focus, is one light a pixel, of rays of its own.
 *
 * Rays by a sequence of low discrepancy in five dimensions: k times powers of the root of x⁶ = x + 1, from a start that
 * each pixel has of its own (M. Roberts, 2018, from memory).
 */
import { bits } from '../chance.js'
import { figureOf } from './figure.js'
import { type Light, sentBy, wallAt } from './light.js'
import type { WallSetting } from './setting.js'
import type { Box, Hit, Shape } from './shapes.js'

const ROOT = 1.1347241384015194
const STEPS = [1, 2, 3, 4, 5].map((k) => ROOT ** -k)
/** Rays at the wall, and at a place before it is taken for whole. */
const BARE = 6
const FIRST = 32
const INSTANTS = 64
const TILE = 8
/** Diameter of the wall's blur, units. */
const WALL_BLUR = 9

export interface Painted {
  /** Linear light of the picture: three numbers a pixel. */
  readonly picture: Float32Array
  /** Premultiplied light of the element without spill, then alpha: four numbers a pixel. */
  readonly element: Float32Array
}

/** @param rays where an edge may be */
export function paintWall(s: WallSetting, frame: number, rays = 128): Painted {
  const n = s.width * s.height
  const made = { picture: new Float32Array(3 * n), element: new Float32Array(4 * n) }
  const times = Array.from({ length: INSTANTS }, (_, k) => frame + (s.shutter * (k + 0.5)) / INSTANTS)
  const tiles = tilesOf(s, figureOf(s, times))
  const across = Math.ceil(s.width / TILE)
  const painter = new Painter(s, frame, rays)
  for (let p = 0; p < n; p++) {
    const [x, y] = [p % s.width, Math.floor(p / s.width)]
    painter.pixel(x, y, tiles[Math.floor(y / TILE) * across + Math.floor(x / TILE)])
    for (let c = 0; c < 3; c++) {
      made.picture[3 * p + c] = painter.picture[c]
      made.element[4 * p + c] = painter.clean[c]
    }
    made.element[4 * p + 3] = painter.alpha
  }
  return made
}

/** A shape, and the box that it can reach while the shutter is open, lens and all. */
interface Reach extends Box {
  readonly shape: Shape
}

function reachOf(shape: Shape): Reach {
  let [x0, y0, x1, y1] = [1e9, 1e9, -1e9, -1e9]
  for (let k = 0; k < INSTANTS; k++) {
    const box = shape.box(k)
    x0 = Math.min(x0, box.x0)
    y0 = Math.min(y0, box.y0)
    x1 = Math.max(x1, box.x1)
    y1 = Math.max(y1, box.y1)
  }
  const more = shape.blur / 2
  return { shape, x0: x0 - more, y0: y0 - more, x1: x1 + more, y1: y1 + more }
}

/** What can reach each tile, nearest first. */
function tilesOf(s: WallSetting, shapes: readonly Shape[]): Reach[][] {
  const [across, down] = [Math.ceil(s.width / TILE), Math.ceil(s.height / TILE)]
  const tiles = Array.from({ length: across * down }, (): Reach[] => [])
  for (const shape of shapes) {
    const reach = reachOf(shape)
    if (reach.x1 < 0 || reach.y1 < 0 || reach.x0 > 960 || reach.y0 > 540) continue
    const tile = (v: number, most: number) =>
      Math.min(Math.max(Math.floor((v * s.scale) / TILE), 0), most - 1)
    for (let j = tile(reach.y0, down); j <= tile(reach.y1, down); j++)
      for (let i = tile(reach.x0, across); i <= tile(reach.x1, across); i++) tiles[j * across + i].push(reach)
  }
  return tiles
}

class Painter {
  readonly picture: Light = [0, 0, 0]
  readonly clean: Light = [0, 0, 0]
  alpha = 0
  readonly #s: WallSetting
  readonly #frame: number
  readonly #rays: number
  readonly #hit: Hit = { cover: 0, nx: 0, ny: 0, nz: 1, r: 0, g: 0, b: 0, thin: 0 }
  readonly #wall: Light = [0, 0, 0]
  readonly #own: Light = [0, 0, 0]
  readonly #spill: Light = [0, 0, 0]
  readonly #start = new Float64Array(5)
  readonly #ray = new Float64Array(5)

  constructor(s: WallSetting, frame: number, rays: number) {
    this.#s = s
    this.#frame = frame
    this.#rays = rays
  }

  pixel(px: number, py: number, reaches: readonly Reach[]): void {
    const { picture, clean } = this
    const { scale } = this.#s
    const [x0, y0, x1, y1] = [px / scale, py / scale, (px + 1) / scale, (py + 1) / scale]
    const shapes = reaches.filter((r) => r.x0 < x1 && r.x1 > x0 && r.y0 < y1 && r.y1 > y0).map((r) => r.shape)
    for (let i = 0; i < 5; i++) this.#start[i] = bits(this.#s.seed, px, py, 8 * this.#frame + i) / 4294967296
    this.#bare(px, py)
    picture.fill(0)
    clean.fill(0)
    this.alpha = 0
    let k = 0
    for (; k < (shapes.length === 0 ? 0 : this.#rays); k++) {
      // Whole inside so far: nothing more to find.
      if (k === FIRST && this.alpha > FIRST - 1e-9) break
      this.#aim(k)
      this.#through(px, py, shapes)
    }
    k = Math.max(k, 1)
    this.alpha /= k
    for (let c = 0; c < 3; c++) {
      clean[c] /= k
      picture[c] = picture[c] / k + (1 - this.alpha) * this.#wall[c]
    }
  }

  /** Place in the pixel, place in the lens (radius 0.5), time. */
  #aim(k: number): void {
    const ray = this.#ray
    for (let i = 0; i < 5; i++) ray[i] = (this.#start[i] + k * STEPS[i]) % 1
    const [angle, radius] = [2 * Math.PI * ray[2], 0.5 * Math.sqrt(ray[3])]
    ray[2] = radius * Math.cos(angle)
    ray[3] = radius * Math.sin(angle)
  }

  #bare(px: number, py: number): void {
    const { scale, shutter } = this.#s
    const [wall, one, ray] = [this.#wall, this.#own, this.#ray]
    wall.fill(0)
    for (let k = 0; k < BARE; k++) {
      this.#aim(k)
      const [x, y] = [(px + ray[0]) / scale + WALL_BLUR * ray[2], (py + ray[1]) / scale + WALL_BLUR * ray[3]]
      wallAt(this.#s, x, y, this.#frame + shutter * ray[4], one)
      for (let c = 0; c < 3; c++) wall[c] += one[c] / BARE
    }
  }

  /** One ray adds what it brings of the figure. */
  #through(px: number, py: number, shapes: readonly Shape[]): void {
    const [hit, ray, { scale }] = [this.#hit, this.#ray, this.#s]
    const [x, y] = [(px + ray[0]) / scale, (py + ray[1]) / scale]
    const instant = Math.floor(INSTANTS * ray[4])
    let open = 1
    for (const shape of shapes) {
      if (!shape.at(x + shape.blur * ray[2], y + shape.blur * ray[3], instant, hit)) continue
      sentBy(hit, this.#wall, this.#own, this.#spill)
      const part = open * hit.cover
      for (let c = 0; c < 3; c++) {
        this.clean[c] += part * this.#own[c]
        this.picture[c] += part * (this.#own[c] + this.#spill[c])
      }
      this.alpha += part
      open *= 1 - hit.cover
      if (open <= 0) break
    }
  }
}
