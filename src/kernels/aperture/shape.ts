/**
 * The shape that a point out of focus is drawn as: the lens's opening, seen from that point.
 *
 *   polygon   n sides, turned, of the disc's area: R = r √(2π / (n sin(2π/n)))      a disc of r where n is 0
 *   squeeze   its width by this factor, as a squeezing lens leaves it
 *   cat's eye cut by a disc of R whose middle lies c ρ r from its own, toward the frame's middle
 *
 *   r  radius of the disc of confusion  px     ρ  distance from the frame's middle, 1 in its corner     c  how far the barrel cuts in
 *
 * Equal areas, since the f-number tells the light that comes through. What is cut off is no loss here: the weights add up to 1, and
 * how much darker the corner gets is the vignette's. Source: [potmesil1981] for the disc of confusion; the cut: common practice.
 */
export interface Aperture {
  /** 0 is round, else 3 or more. */
  readonly blades: number
  readonly rotationDeg: number
  /** Width by height, above 0, at most 1. */
  readonly squeeze: number
  /** 0 to 1. */
  readonly corner: number
}

/** What of a row the shape covers, px from the middle of the pixel that is drawn; rows are an eighth of a pixel high. */
export interface Span {
  /** Whole pixels down. */
  readonly row: number
  readonly from: number
  readonly to: number
}

/** Rows that a pixel is cut into. */
export const PARTS = 8

/** Radius of the circle around the polygon, for a disc of radius 1. */
export function outerRadius({ blades }: Aperture): number {
  return blades === 0 ? 1 : Math.sqrt((2 * Math.PI) / (blades * Math.sin((2 * Math.PI) / blades)))
}

/**
 * @param radius of the disc of confusion, px above 0
 * @param toward of the frame's middle from here, in half diagonals
 */
export function apertureSpans(a: Aperture, radius: number, toward: readonly [number, number]): Span[] {
  const outer = radius * outerRadius(a)
  const [cx, cy] = [a.corner * radius * toward[0], a.corner * radius * toward[1]]
  const spans: Span[] = []
  const reach = Math.ceil(outer)
  for (let row = -reach; row <= reach; row++) {
    for (let part = 0; part < PARTS; part++) {
      const y = row - 0.5 + (part + 0.5) / PARTS
      let [from, to] = chord(0, 0, outer, y)
      for (let side = 0; side < a.blades; side++) [from, to] = cut(a, outer, side, y, from, to)
      if (a.corner > 0) {
        const [left, right] = chord(cx, cy, outer, y)
        ;[from, to] = [Math.max(from, left), Math.min(to, right)]
      }
      if (to > from) spans.push({ row, from: from * a.squeeze, to: to * a.squeeze })
    }
  }
  return spans
}

/** Where a row meets a circle. */
function chord(cx: number, cy: number, radius: number, y: number): [number, number] {
  const half = Math.sqrt(Math.max(radius ** 2 - (y - cy) ** 2, 0))
  return [cx - half, cx + half]
}

/** What one blade leaves of a row. */
function cut(
  { blades, rotationDeg }: Aperture,
  outer: number,
  side: number,
  y: number,
  from: number,
  to: number,
): [number, number] {
  const half = Math.PI / blades
  const angle = (rotationDeg * Math.PI) / 180 + (2 * side + 1) * half
  const [nx, ny] = [Math.cos(angle), Math.sin(angle)]
  const left = outer * Math.cos(half) - ny * y
  if (Math.abs(nx) < 1e-9) return left >= 0 ? [from, to] : [0, 0]
  return nx > 0 ? [from, Math.min(to, left / nx)] : [Math.max(from, left / nx), to]
}
