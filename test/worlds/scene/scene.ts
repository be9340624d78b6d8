/**
 * The whole static scene for one ray. Everything but the sea (which moves) and the fence (which stands before the
 * effect) is answered here, with the air already in it.
 */
import { chance, mix } from '../chance.js'
import type { Setting } from '../setting.js'
import { type Met, SHED, traceBeacon, traceShed, traceShore, traceYard } from './far.js'
import { GROUND, type Hit, SEA, SKY, SOLID, WALL } from './hit.js'
import {
  drum,
  GROUND_Y,
  ground,
  QUAY_END,
  WALL_TOP,
  WALL_X,
  WALL_Z0,
  WALL_Z1,
  wallReflectance,
} from './near.js'
import { airlight, Sky } from './sky.js'
import { Stones } from './stones.js'

type Lens = { ox: number; oy: number; oz: number; dx: number; dy: number }

export class Scene {
  readonly sky: Sky
  /** Sky's light on faces towards the camera, upwards, and towards the right. */
  readonly front = new Float64Array(3)
  readonly upward = new Float64Array(3)
  readonly rightward = new Float64Array(3)
  /** What round bars get: half from above, half from the front. */
  readonly around = new Float64Array(3)
  private readonly stones: Stones
  private readonly s: Setting
  private readonly met: Met = { t: 0, r: 0, g: 0, b: 0 }
  private readonly c3 = new Float64Array(3)
  private readonly d3 = new Float64Array(3)
  private readonly tint = new Float64Array(3)
  private readonly air = new Float64Array(3)
  /** Sky at picture resolution, made as needed. */
  private readonly skyCache: Float32Array
  private shading = true
  private readonly mirror: Lens = { ox: 0, oy: 0, oz: 0, dx: 0, dy: 0 }

  constructor(s: Setting) {
    this.s = s
    this.sky = new Sky(s)
    this.stones = new Stones(s, this.sky)
    this.sky.irradiance(0, 0.25, -0.97, this.front)
    this.sky.irradiance(0, 1, 0, this.upward)
    this.sky.irradiance(0.97, 0.2, -0.1, this.rightward)
    for (let c = 0; c < 3; c++) this.around[c] = 0.5 * (this.front[c] + this.upward[c])
    this.skyCache = new Float32Array((s.width + 8) * (s.height + 8) * 3).fill(-1)
  }

  /** Distance alone along the ray of a pixel (sky and sea: far beyond everything), for finding edges. */
  depth(px: number, py: number, o: Lens, hit: Hit): number {
    this.shading = false
    this.trace(px, py, o, 0, hit)
    this.shading = true
    return hit.kind === SKY ? 1e6 : hit.kind === SEA ? 1e5 : hit.t
  }

  /** Traces past the fence; k numbers the sample. */
  trace(px: number, py: number, o: Lens, k: number, hit: Hit): void {
    const { s, met, c3 } = this
    met.t = Number.POSITIVE_INFINITY
    hit.rho = 0
    let kind = SKY
    this.solids(o, met)
    if (met.t < Number.POSITIVE_INFINITY) kind = SOLID
    // Ground before what stands on it is settled by distance.
    if (o.dy < 0) {
      const t = (GROUND_Y - o.oy) / o.dy
      if (t < met.t && onQuay(o.ox + t * o.dx, t)) {
        if (this.shading) this.shadeGround(o, t, k, hit)
        met.t = t
        met.r = hit.r
        met.g = hit.g
        met.b = hit.b
        kind = GROUND
      }
    }
    if (this.nearWall(o, met, hit)) kind = WALL
    const limit = kind === SOLID || kind === GROUND || kind === WALL ? met.t : Number.POSITIVE_INFINITY
    if (limit > 52) {
      const t = this.stones.trace(px, py, o, limit, this.shading ? k : -1, c3)
      if (t < limit) {
        met.t = t
        met.r = c3[0]
        met.g = c3[1]
        met.b = c3[2]
        kind = SOLID
      }
    }
    const water = o.dy < 0 ? -o.oy / o.dy : Number.POSITIVE_INFINITY
    if (water < met.t) {
      hit.t = water
      hit.kind = SEA
      return
    }
    if (kind === SKY) {
      if (this.shading) this.skyAt(o, c3)
      hit.t = Number.POSITIVE_INFINITY
      hit.r = c3[0]
      hit.g = c3[1]
      hit.b = c3[2]
      hit.kind = SKY
      return
    }
    airlight(s, o.dx, 1, this.air)
    const t = Math.exp(-s.beta * met.t)
    hit.t = met.t
    hit.r = met.r * t + this.air[0] * (1 - t)
    hit.g = met.g * t + this.air[1] * (1 - t)
    hit.b = met.b * t + this.air[2] * (1 - t)
    hit.rho *= t
    if (kind !== WALL && kind !== GROUND) hit.rho = 0
    hit.kind = kind
  }

  private solids(o: Lens, met: Met): void {
    traceShed(this.s, o, this.front, this.upward, met)
    traceYard(this.s, o, this.front, met)
    traceBeacon(o, this.front, met)
    traceShore(this.s, o, this.front, met)
    const { s, d3 } = this
    const t = drum(s, o, d3)
    if (t < met.t) {
      const y = o.oy + t * o.dy - GROUND_Y
      this.sky.irradiance(d3[0], 0.1, d3[2], this.c3)
      const hoop = Math.abs(y - 0.3) < 0.02 || Math.abs(y - 0.58) < 0.02 || y > 0.84 ? 1.6 : 1
      const k =
        (0.07 *
          hoop *
          (0.7 + 0.6 * chance(s.seed, Math.floor(y * 40), Math.floor(d3[0] * 20), 91)) *
          (0.55 + 0.45 * Math.min(1, y))) /
        Math.PI
      met.t = t
      met.r = this.c3[0] * k * 1.35
      met.g = this.c3[1] * k * 0.85
      met.b = this.c3[2] * k * 0.68
    }
  }

  /** The wall's face (its air is added by the caller) and coping. */
  private nearWall(o: Lens, met: Met, hit: Hit): boolean {
    if (o.dx >= -0.05) return false
    const { s, tint } = this
    const lip = (WALL_X + 0.09 - o.ox) / o.dx
    const ly = o.oy + lip * o.dy
    let t = (WALL_X - o.ox) / o.dx
    let coping = false
    if (lip > WALL_Z0 && lip < WALL_Z1 && lip < met.t && ly > WALL_TOP - 0.2 && ly < WALL_TOP) {
      t = lip
      coping = true
    }
    const y = o.oy + t * o.dy
    if (t < WALL_Z0 || t > WALL_Z1 || t >= met.t || y < GROUND_Y || y > WALL_TOP) return false
    met.t = t
    if (!this.shading) return true
    const rho = wallReflectance(s, t, y, tint) * (coping ? 1.12 : 1)
    const h = y - GROUND_Y
    // Sky seen from the wall: half the dome, less near the ground; a shadow line under the coping.
    const under = coping ? 1 : 1 - 0.55 * Math.exp(-(WALL_TOP - 0.2 - y) / 0.11)
    const f = ((0.62 + 0.38 * Math.min(1, h / 2.2)) * under) / Math.PI
    met.r = this.rightward[0] * f * rho * tint[0]
    met.g = this.rightward[1] * f * rho * tint[1]
    met.b = this.rightward[2] * f * rho * tint[2]
    hit.rho = rho
    return true
  }

  private shadeGround(o: Lens, t: number, k: number, hit: Hit): void {
    const { s, tint, c3, mirror } = this
    const x = o.ox + t * o.dx
    const { rho, wet } = ground(s, x, t, tint)
    const fromWall = t < WALL_Z1 ? Math.max(0.02, x - WALL_X) : 9
    const open = 0.5 + 0.5 * (fromWall / Math.hypot(fromWall, 3.2))
    const kerb = 1 - 0.35 * Math.exp(-Math.hypot(x - s.fire.x, t - s.fire.distanceM) / 0.35)
    const f = (rho * open * kerb) / Math.PI
    hit.r = this.upward[0] * f * tint[0]
    hit.g = this.upward[1] * f * tint[1]
    hit.b = this.upward[2] * f * tint[2]
    hit.rho = rho
    if (wet <= 0.02) return
    // Standing water mirrors; damp concrete mirrors roughly.
    const rough = wet > 0.6 ? 0.004 : 0.09
    mirror.dx = o.dx + 0.3 * rough * (chance(s.seed, k, 1, 95) - 0.5)
    mirror.dy = Math.abs(o.dy) + rough * (chance(s.seed, k, 2, 95) - 0.35)
    if (mirror.dy < 0.002) mirror.dy = 0.002
    mirror.ox = x - t * mirror.dx
    mirror.oy = GROUND_Y + 0.001 - t * mirror.dy
    const m: Met = { t: Number.POSITIVE_INFINITY, r: 0, g: 0, b: 0 }
    traceShed(s, mirror, this.front, this.upward, m)
    traceYard(s, mirror, this.front, m)
    if (m.t < Number.POSITIVE_INFINITY) {
      airlight(s, mirror.dx, 1, this.air)
      const h = Math.exp(-s.beta * m.t)
      c3[0] = mix(this.air[0], m.r, h)
      c3[1] = mix(this.air[1], m.g, h)
      c3[2] = mix(this.air[2], m.b, h)
    } else {
      const q = 1 / Math.hypot(mirror.dx, mirror.dy, 1)
      this.sky.look(mirror.dx * q, mirror.dy * q, q, c3)
    }
    const sine = Math.abs(o.dy) / Math.hypot(o.dx, o.dy, 1)
    const fresnel =
      (0.02 + 0.98 * (1 - sine) ** 5) * wet * (wet > 0.6 ? 0.92 : 0.55) * Math.min(1, open + 0.1)
    hit.r = hit.r * (1 - fresnel) + c3[0] * fresnel
    hit.g = hit.g * (1 - fresnel) + c3[1] * fresnel
    hit.b = hit.b * (1 - fresnel) + c3[2] * fresnel
    hit.rho *= 1 - fresnel
  }

  /** Sky behind everything, bilinear in a table the size of the picture. */
  private skyAt(o: Lens, out: Float64Array): void {
    const { s, skyCache } = this
    const w = s.width + 8
    const fx = s.width / 2 + s.focalPx * o.dx + 4
    const fy = s.horizonY - s.focalPx * o.dy + 4
    const x0 = Math.min(w - 2, Math.max(0, Math.floor(fx)))
    const y0 = Math.min(s.height + 6, Math.max(0, Math.floor(fy)))
    const u = fx - x0
    const v = fy - y0
    const a = (y0 * w + x0) * 3
    for (const i of [a, a + 3, a + 3 * w, a + 3 * w + 3]) {
      if (skyCache[i] < 0) this.fillSky(i, w)
    }
    for (let c = 0; c < 3; c++) {
      const p = skyCache[a + c]
      const r = skyCache[a + 3 * w + c]
      const top = p + u * (skyCache[a + 3 + c] - p)
      out[c] = top + v * (r + u * (skyCache[a + 3 * w + 3 + c] - r) - top)
    }
  }

  private fillSky(i: number, w: number): void {
    const { s, skyCache, d3 } = this
    const n = i / 3
    const dx = ((n % w) - 4 - s.width / 2) / s.focalPx
    const dy = Math.max(0, (s.horizonY + 4 - Math.floor(n / w)) / s.focalPx)
    const q = 1 / Math.hypot(dx, dy, 1)
    this.sky.exact(s, dx * q, dy * q, q, d3)
    skyCache[i] = d3[0]
    skyCache[i + 1] = d3[1]
    skyCache[i + 2] = d3[2]
  }
}

/** Where the quay's concrete is. */
function onQuay(x: number, z: number): boolean {
  if (z < 8) return false
  if (z < QUAY_END) return true
  return x > 1.5 && z < 172 && x < SHED.x1 + 34
}
