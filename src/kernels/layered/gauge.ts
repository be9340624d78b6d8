/**
 * How wide a blur must be to reach a pixel: the gauge of the lens's opening, for every offset.
 *
 *   disc     g = |o|        polygon  g = maxₖ (nₖ · o) / (R cos(π / n))        o squeezed back: (x / squeeze, y)
 *
 *   R  radius of the circle around the polygon, for a disc of radius 1 of its area     nₖ  outward normals of its sides
 *
 * The corner's cut is left out: it depends on the place. Source: the gauge of a convex body, [rockafellar1970 §15].
 */
import { type Aperture, outerRadius } from '../aperture/shape.js'

export interface Gauges {
  readonly reach: number
  /** Row by row over 2·reach + 1 pixels both ways. */
  readonly at: Float64Array
}

export function gauges(a: Aperture, most: number): Gauges {
  const reach = Math.ceil((most + 0.5) * outerRadius(a))
  const side = 2 * reach + 1
  const at = Float64Array.from({ length: side * side }, (_, i) =>
    gauge(a, (i % side) - reach, Math.floor(i / side) - reach),
  )
  return { reach, at }
}

function gauge({ blades, rotationDeg, squeeze, ...rest }: Aperture, dx: number, y: number): number {
  const x = dx / squeeze
  if (blades === 0) return Math.hypot(x, y)
  const half = Math.PI / blades
  const apothem = outerRadius({ blades, rotationDeg, squeeze, ...rest }) * Math.cos(half)
  let most = 0
  for (let side = 0; side < blades; side++) {
    const angle = (rotationDeg * Math.PI) / 180 + (2 * side + 1) * half
    most = Math.max(most, (x * Math.cos(angle) + y * Math.sin(angle)) / apothem)
  }
  return most
}

const STEP = 1 / 16
const tables = new Map<string, number[]>()

/** Sum of all shares of a pixel of this radius, linear between sixteenths of a pixel. */
export function wholeShare(a: Aperture, radius: number): number {
  const key = `${a.blades} ${a.rotationDeg} ${a.squeeze}`
  let table = tables.get(key)
  if (table === undefined) {
    table = []
    tables.set(key, table)
  }
  const i = Math.floor(radius / STEP)
  for (let k = table.length; k <= i + 1; k++) table.push(counted(a, k * STEP))
  const [low, high] = [table[i] as number, table[i + 1] as number]
  return low + (radius / STEP - i) * (high - low)
}

function counted(a: Aperture, radius: number): number {
  return gauges(a, radius).at.reduce((sum, g) => sum + Math.min(Math.max(radius - g + 0.5, 0), 1), 0)
}
