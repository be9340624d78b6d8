/**
 * The breakwater: some hundreds of weathered concrete cubes thrown along a curve that runs out to sea, over a solid
 * core. Each is a turned box with rough faces; light reaches it by the sky it can see between its neighbours.
 */
import { between, chance, fbm, mix, step } from '../chance.js'
import type { Setting } from '../setting.js'
import type { Sky } from './sky.js'

interface Box {
  readonly c: readonly [number, number, number]
  /** Half sizes. */
  readonly e: readonly [number, number, number]
  /** Rows: the box's own axes. */
  readonly m: Float64Array
  readonly seed: number
  readonly core: boolean
  readonly radius: number
}

/** The crest's line: z along, x across. */
export function crestX(z: number): number {
  const q = (z - 52) / 648
  return -2.2 + 3.4 * Math.exp(-(((z - 100) / 45) ** 2)) - 66 * Math.max(0, q) ** 1.25
}

function makeBoxes(s: Setting): Box[] {
  const boxes: Box[] = []
  let z = 53
  let k = 0
  while (z < 690) {
    const dense = z < 240 ? 1 : 1.5
    const rows = z < 130 ? 9 : 8
    for (let j = 0; j < rows; j++, k++) {
      const across = between(-6.5, 5, s.seed, k, 11)
      const size = between(0.62, 1.12, s.seed, k, 12) * (z > 240 ? 1.25 : 1)
      const top = 3.7 - 0.62 * Math.max(0, Math.abs(across + 0.4) - 1.6) + between(-0.5, 0.35, s.seed, k, 13)
      const zz = z + between(-1, 1, s.seed, k, 14) * dense
      // On the quay's side nothing lies in front of the shed's yard.
      const x = crestX(zz) + across
      if (zz < 128 && x > 1.6) continue
      boxes.push(box(s.seed * 7919 + k, x, top - size * 0.9, zz, size, between(0.72, 1, s.seed, k, 15)))
    }
    z += 0.62 * dense * (z < 130 ? 1.1 : 1.5)
  }
  for (let q = 52; q < 695; q += 6) {
    boxes.push({
      c: [crestX(q + 3), 0.2, q + 3],
      e: [3, 2.1, 3.6],
      m: new Float64Array([1, 0, 0, 0, 1, 0, 0, 0, 1]),
      seed: q,
      core: true,
      radius: 6,
    })
  }
  return boxes
}

function box(seed: number, x: number, y: number, z: number, size: number, squat: number): Box {
  const yaw = between(0, Math.PI, seed, 1)
  const pitch = between(-0.5, 0.5, seed, 2)
  const roll = between(-0.5, 0.5, seed, 3)
  const [a, b] = [Math.cos(yaw), Math.sin(yaw)]
  const [c, d] = [Math.cos(pitch), Math.sin(pitch)]
  const [e, f] = [Math.cos(roll), Math.sin(roll)]
  const m = new Float64Array([
    a * e + b * d * f,
    c * f,
    -b * e + a * d * f,
    -a * f + b * d * e,
    c * e,
    b * f + a * d * e,
    b * c,
    -d,
    a * c,
  ])
  const half: [number, number, number] = [size, size * squat, size * between(0.8, 1.15, seed, 4)]
  return { c: [x, y, z], e: half, m, seed, core: false, radius: Math.hypot(...half) }
}

const n3 = new Float64Array(3)

/** Distance to a box, or infinity; the normal (world) is left in `n3`. */
function meet(b: Box, ox: number, oy: number, oz: number, dx: number, dy: number, dz: number): number {
  const { m, c, e } = b
  const px = ox - c[0]
  const py = oy - c[1]
  const pz = oz - c[2]
  const along = px * dx + py * dy + pz * dz
  if (px * px + py * py + pz * pz - (along * along) / (dx * dx + dy * dy + dz * dz) > b.radius * b.radius) {
    return Number.POSITIVE_INFINITY
  }
  let near = -1e30
  let far = 1e30
  let axis = 0
  for (let i = 0; i < 3; i++) {
    const o = m[3 * i] * px + m[3 * i + 1] * py + m[3 * i + 2] * pz
    const d = m[3 * i] * dx + m[3 * i + 1] * dy + m[3 * i + 2] * dz
    const inv = 1 / (Math.abs(d) < 1e-9 ? 1e-9 : d)
    const half = Math.abs(e[i] * inv)
    const mid = -o * inv
    if (mid - half > near) {
      near = mid - half
      axis = d > 0 ? -(i + 1) : i + 1
    }
    if (mid + half < far) far = mid + half
  }
  if (near > far || near <= 1e-4) return Number.POSITIVE_INFINITY
  const i = Math.abs(axis) - 1
  const sign = axis > 0 ? 1 : -1
  n3[0] = sign * m[3 * i]
  n3[1] = sign * m[3 * i + 1]
  n3[2] = sign * m[3 * i + 2]
  return near
}

/** Boxes by the 16-pixel tile of the picture they can show in, and by a 4-metre grid for the light between them. */
export class Stones {
  private readonly tiles = new Map<number, Box[]>()
  private readonly cells = new Map<number, Box[]>()
  private readonly s: Setting
  private readonly sky: Sky
  private readonly irr = new Float64Array(3)

  constructor(s: Setting, sky: Sky) {
    this.s = s
    this.sky = sky
    const boxes = makeBoxes(s).sort((a, b) => a.c[2] - a.radius - (b.c[2] - b.radius))
    for (const b of boxes) {
      const [x, y, z] = b.c
      const r = (s.focalPx * b.radius) / (z - b.radius) + 2
      const px = s.width / 2 + (s.focalPx * x) / z
      const py = s.horizonY - (s.focalPx * (y - s.eyeM)) / z
      for (let ty = Math.floor((py - r) / 16); ty <= (py + r) / 16; ty++) {
        for (let tx = Math.floor((px - r) / 16); tx <= (px + r) / 16; tx++) put(this.tiles, ty * 4096 + tx, b)
      }
      for (let gz = Math.floor((z - b.radius) / 4); gz <= (z + b.radius) / 4; gz++) {
        for (let gx = Math.floor((x - b.radius) / 4); gx <= (x + b.radius) / 4; gx++)
          put(this.cells, gz * 4096 + gx + 2048, b)
      }
    }
  }

  /** Nearest stone along the lens ray of pixel (px, py), nearer than `limit`; radiance to `out` unless k is negative. */
  trace(
    px: number,
    py: number,
    o: { ox: number; oy: number; oz: number; dx: number; dy: number },
    limit: number,
    k: number,
    out: Float64Array,
  ): number {
    const list = this.tiles.get((py >> 4) * 4096 + (px >> 4))
    if (!list) return Number.POSITIVE_INFINITY
    let best = limit
    let hit: Box | undefined
    let nx = 0
    let ny = 0
    let nz = 0
    for (const b of list) {
      if (b.c[2] - b.radius > best) break
      const t = meet(b, o.ox, o.oy, o.oz, o.dx, o.dy, 1)
      if (t < best) {
        best = t
        hit = b
        nx = n3[0]
        ny = n3[1]
        nz = n3[2]
      }
    }
    if (!hit) return Number.POSITIVE_INFINITY
    const x = o.ox + best * o.dx
    const y = o.oy + best * o.dy
    const z = o.oz + best
    if (y < 0) return Number.POSITIVE_INFINITY
    if (k >= 0) this.shade(hit, x, y, z, nx, ny, nz, k, out)
    return best
  }

  private shade(
    b: Box,
    x: number,
    y: number,
    z: number,
    nx0: number,
    ny0: number,
    nz0: number,
    k: number,
    out: Float64Array,
  ): void {
    const { irr } = this
    // Rough faces: the normal wanders with the pitting of the concrete.
    const bump = 0.34
    const nx = nx0 + bump * fbm(x * 3.1, y * 3.1, z * 3.1 + 5, 4)
    const ny = ny0 + bump * fbm(x * 3.1 + 9, y * 3.1, z * 3.1, 4)
    const nz = nz0 + bump * fbm(x * 3.1, y * 3.1 + 7, z * 3.1, 4)
    const q = 1 / Math.hypot(nx, ny, nz)
    this.sky.irradiance(nx * q, ny * q, nz * q, irr)
    const open = this.openness(x, y, z, nx0, ny0, nz0, k)
    const grit = 0.5 + 0.5 * fbm(x * 1.7, y * 1.7, z * 1.7 + b.seed, 5, 0.6)
    const tide = y + 0.45 * fbm(x * 0.9, y * 0.4, z * 0.9, 3)
    const wet = step(1.7, 0.75, tide)
    const weed = step(0.95, 0.3, tide)
    const own = 0.75 + 0.5 * chance(b.seed, 3)
    const rho = mix(0.3, 0.075, wet) * own * (0.55 + 0.9 * grit) * (b.core ? 0.35 : 1)
    const salt = step(2.4, 3.6, tide) * 0.16
    const tone = (chance(b.seed, 5) - 0.5) * 0.12
    const f = (open / Math.PI) * (1 + salt)
    out[0] = irr[0] * f * rho * (1.03 + tone - 0.2 * weed)
    out[1] = irr[1] * f * rho * (1 + 0.06 * weed)
    out[2] = irr[2] * f * rho * (0.95 - tone - 0.28 * weed)
    // Wet stone: a broken sheen of the sky.
    const sheen = wet * 0.035 * step(0.2, 0.7, ny * q) * open
    for (let c = 0; c < 3; c++) out[c] += sheen * this.s.horizon[c]
  }

  /** Share of the hemisphere that is not a neighbour, from a few stratified rays. */
  private openness(x: number, y: number, z: number, nx: number, ny: number, nz: number, k: number): number {
    const list = this.cells.get(Math.floor(z / 4) * 4096 + Math.floor(x / 4) + 2048)
    if (!list) return 1
    const rays = 5
    let free = 0
    for (let i = 0; i < rays; i++) {
      const a = 2 * Math.PI * ((i + chance(this.s.seed, k, i, 21)) / rays)
      const r = Math.sqrt(chance(this.s.seed, k, i, 22))
      const up = Math.sqrt(1 - r * r)
      const tx = ny > 0.9 ? 1 : 0
      const ty = ny > 0.9 ? 0 : 1
      const bx = ty * nz
      const by = -tx * nz
      const bz = tx * ny - ty * nx
      const m = 1 / Math.hypot(bx, by, bz)
      const cx = (ny * bz - nz * by) * m
      const cy = (nz * bx - nx * bz) * m
      const cz = (nx * by - ny * bx) * m
      const u = r * Math.cos(a)
      const v = r * Math.sin(a)
      const dx = up * nx + u * bx * m + v * cx
      const dy = up * ny + u * by * m + v * cy
      const dz = up * nz + u * bz * m + v * cz
      let t = 3.2
      for (const b of list) {
        const d = meet(b, x + 0.02 * nx, y + 0.02 * ny, z + 0.02 * nz, dx, dy, dz)
        if (d < t) t = d
      }
      free += t / 3.2
    }
    return 0.08 + 0.92 * (free / rays)
  }
}

function put(map: Map<number, Box[]>, key: number, b: Box): void {
  const list = map.get(key)
  if (list) list.push(b)
  else map.set(key, [b])
}
