/**
 * Shapes of the figure as what a ray meets: how much it covers there, how it is turned, its own colour. A frame is seen at some
 * instants while the shutter is open; what moves is a table over these.
 */

export interface Hit {
  /** Share of the light behind that is stopped. */
  cover: number
  /** Turned to: right, down, towards the camera; length 1. */
  nx: number
  ny: number
  nz: number
  /** Reflectance. */
  r: number
  g: number
  b: number
  /** How much the wall behind shines around and through it, 0 to 1, beside what its turn says. */
  thin: number
}

export interface Box {
  readonly x0: number
  readonly y0: number
  readonly x1: number
  readonly y1: number
}

export interface Shape {
  /** Diameter of its blur, units. */
  readonly blur: number
  /** Where it is at an instant. */
  box(instant: number): Box
  /** Whether anything of it is there; fills `out`. */
  at(x: number, y: number, instant: number, out: Hit): boolean
}

/** Something at every instant. */
export type Over<T> = readonly T[]

export type Paint = (x: number, y: number, out: Hit) => void

export function turned(out: Hit, nx: number, ny: number): void {
  const l = nx * nx + ny * ny
  if (l >= 1) {
    const k = 1 / Math.sqrt(l)
    out.nx = nx * k
    out.ny = ny * k
    out.nz = 0
    return
  }
  out.nx = nx
  out.ny = ny
  out.nz = Math.sqrt(1 - l)
}

export interface Bone {
  readonly ax: number
  readonly ay: number
  readonly bx: number
  readonly by: number
  readonly ra: number
  readonly rb: number
}

/** A limb that gets thinner along its bone. */
export function limb(blur: number, bones: Over<Bone>, paint: Paint): Shape {
  return {
    blur,
    box: (k) => {
      const { ax, ay, bx, by, ra, rb } = bones[k]
      const r = Math.max(ra, rb)
      return {
        x0: Math.min(ax, bx) - r,
        x1: Math.max(ax, bx) + r,
        y0: Math.min(ay, by) - r,
        y1: Math.max(ay, by) + r,
      }
    },
    at: (x, y, k, out) => {
      const { ax, ay, bx, by, ra, rb } = bones[k]
      const [dx, dy] = [bx - ax, by - ay]
      const along = Math.min(Math.max(((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy), 0), 1)
      const [ox, oy] = [x - ax - along * dx, y - ay - along * dy]
      const r = ra + along * (rb - ra)
      if (ox * ox + oy * oy > r * r) return false
      out.cover = 1
      out.thin = 0
      turned(out, ox / r, oy / r)
      const side = (ox * dy - oy * dx) / Math.sqrt(dx * dx + dy * dy)
      paint(along * Math.sqrt(dx * dx + dy * dy), side, out)
      return true
    },
  }
}

/** |x/a|^p + |y/b|^p < 1 about a middle that moves. */
export function egg(
  blur: number,
  middles: Over<readonly [number, number]>,
  [a, b, power]: readonly [number, number, number],
  paint: Paint,
): Shape {
  return {
    blur,
    box: (k) => {
      const [x, y] = middles[k]
      return { x0: x - a, x1: x + a, y0: y - b, y1: y + b }
    },
    at: (x, y, k, out) => {
      const [mx, my] = middles[k]
      const [u, v] = [(x - mx) / a, (y - my) / b]
      if (Math.abs(u) > 1 || Math.abs(v) > 1) return false
      if (Math.abs(u) ** power + Math.abs(v) ** power > 1) return false
      out.cover = 1
      out.thin = 0
      turned(out, u * Math.abs(u) ** (power / 2 - 1), v * Math.abs(v) ** (power / 2 - 1))
      paint(x - mx, y - my, out)
      return true
    },
  }
}

/** A piece of a hair or a thread: from a to b, half as wide as `ra` and `rb` say, carried along by as much as `sway` and the wind say. */
export interface Piece {
  readonly ax: number
  readonly ay: number
  readonly bx: number
  readonly by: number
  readonly ra: number
  readonly rb: number
  readonly swayA: number
  readonly swayB: number
}

export function thread(
  blur: number,
  p: Piece,
  moved: Over<readonly [number, number]>,
  winds: Over<number>,
  paint: Paint,
): Shape {
  const [dx, dy] = [p.bx - p.ax, p.by - p.ay]
  const widest = Math.max(p.ra, p.rb)
  return {
    blur,
    box: (k) => {
      const [mx, my] = moved[k]
      const w = winds[k]
      const [ua, ub] = [p.ax + w * p.swayA, p.bx + w * p.swayB]
      return {
        x0: mx + Math.min(ua, ub) - widest,
        x1: mx + Math.max(ua, ub) + widest,
        y0: my + Math.min(p.ay, p.by) - widest,
        y1: my + Math.max(p.ay, p.by) + widest,
      }
    },
    at: (x, y, k, out) => {
      const [mx, my] = moved[k]
      const w = winds[k]
      const [ux, vx] = [p.ax + w * p.swayA, dx + w * (p.swayB - p.swayA)]
      const [px, py] = [x - mx - ux, y - my - p.ay]
      if ((px < -widest && px - vx < -widest) || (px > widest && px - vx > widest)) return false
      const along = Math.min(Math.max((px * vx + py * dy) / (vx * vx + dy * dy), 0), 1)
      const [ox, oy] = [px - along * vx, py - along * dy]
      const r = p.ra + along * (p.rb - p.ra)
      if (ox * ox + oy * oy > r * r) return false
      out.cover = 1
      out.thin = 0.5
      turned(out, (0.8 * ox) / r, (0.8 * oy) / r)
      paint(along, 0, out)
      return true
    },
  }
}
