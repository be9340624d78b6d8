/**
 * A patch without its grain: the mean of the same place over frames, each first moved back over the one that is cleaned.
 *
 *   move   least squares of the difference over the patch's luma, step by step [lucas1981]; whole patch, no turn
 *   mean   of n frames: σ²/n of the grain is left
 */
import { type Box, between, type Plane, type Planes, partOf } from './planes.js'

export interface Cleaned {
  readonly patch: Planes
  /** Frames in the mean. */
  readonly of: number
}

/** @param reach frames before and after that go into the mean @param still whether nothing moves */
export function cleaned(all: readonly Planes[], f: number, reach: number, box: Box, still: boolean): Cleaned {
  const own = all[f]!
  const parts: Planes[] = []
  let at: readonly [number, number] = [0, 0]
  const add = (g: number) => {
    at = still ? at : moved(own, all[g]!, box, at)
    parts.push(g === f ? partOf(own, box) : shifted(all[g]!, box, at))
  }
  for (let g = f; g >= Math.max(0, f - reach); g--) add(g)
  at = [0, 0]
  for (let g = f + 1; g <= Math.min(all.length - 1, f + reach); g++) add(g)
  const mean = (i: 0 | 1 | 2): Plane => {
    const { width, height } = parts[0]!.planes[i]
    const data = new Float32Array(width * height)
    for (const { planes } of parts)
      for (let k = 0; k < data.length; k++) data[k]! += planes[i].data[k]! / parts.length
    return { width, height, data }
  }
  return { patch: { planes: [mean(0), mean(1), mean(2)], shrunk: own.shrunk }, of: parts.length }
}

function shifted(
  { planes, shrunk: [sx, sy] }: Planes,
  box: Box,
  [dx, dy]: readonly [number, number],
): Planes {
  const plane = (i: 0 | 1 | 2): Plane => {
    const [u, v] = i === 0 ? [1, 1] : [sx, sy]
    const [width, height] = [box.width / u, box.height / v]
    const data = new Float32Array(width * height)
    for (let y = 0, k = 0; y < height; y++)
      for (let x = 0; x < width; x++, k++)
        data[k] = between(planes[i], box.x / u + x + dx / u, box.y / v + y + dy / v)
    return { width, height, data }
  }
  return { planes: [plane(0), plane(1), plane(2)], shrunk: [sx, sy] }
}

/** By how much what lies in the box of `a` lies elsewhere in `b`, from a first guess on. */
function moved(
  a: Planes,
  b: Planes,
  box: Box,
  [x0, y0]: readonly [number, number],
): readonly [number, number] {
  let [dx, dy] = [x0, y0]
  const [p, q] = [a.planes[0], b.planes[0]]
  const at = (x: number, y: number) => p.data[(box.y + y) * p.width + box.x + x]!
  for (let step = 0; step < 12; step++) {
    let [xx, xy, yy, ex, ey] = [0, 0, 0, 0, 0]
    for (let y = 1; y < box.height - 1; y++) {
      for (let x = 1; x < box.width - 1; x++) {
        const gx = (at(x + 1, y) - at(x - 1, y)) / 2
        const gy = (at(x, y + 1) - at(x, y - 1)) / 2
        const e = at(x, y) - between(q, box.x + x + dx, box.y + y + dy)
        xx += gx * gx
        xy += gx * gy
        yy += gy * gy
        ex += gx * e
        ey += gy * e
      }
    }
    const d = xx * yy - xy * xy
    const [sx, sy] = [(yy * ex - xy * ey) / d, (xx * ey - xy * ex) / d]
    dx += sx
    dy += sy
    if (Math.abs(sx) + Math.abs(sy) < 0.002) break
  }
  return [dx, dy]
}
