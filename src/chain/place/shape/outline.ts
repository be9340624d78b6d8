/**
 * Outline of a shape as a closed line of short straight pieces.
 *
 * Spline: through every point, of each span the cubic of a centripetal Catmull-Rom curve, by Bézier points
 *
 *   T₁ = (P₁−P₀)/t₀₁ − (P₂−P₀)/(t₀₁+t₁₂) + (P₂−P₁)/t₁₂      t = √distance      B₁ = P₁ + t₁₂·T₁/3
 *
 * in as many pieces as keep it within 1/10 px of the curve: n = √(3/4 · M / tolerance), M the longest second difference of the
 * Bézier points. No piece is longer than 16 px, so that a lens bends it as it bends the curve.
 *
 * Source: [yuksel2011] (no loops or cusps within a span); [wang1984] for n.
 */

/** x and y in turn; the last point joins the first. */
export type Line = Float64Array

/** A line at one moment, and what each of its points needs beyond the pieces' ends; see `bendsOf`. */
export interface Moment {
  readonly line: Line
  readonly bends: Float64Array
}

const TOLERANCE = 1 / 10
const LONGEST = 16
/** Points that lie on one another are as far apart as this, so that none is divided by nothing. */
const CLOSEST = 1e-3

/** Cubic of each span, eight numbers: x and y of its Bézier points. */
function spansOf(points: Line, spline: boolean): Float64Array {
  const count = points.length / 2
  const out = new Float64Array(8 * count)
  for (let i = 0; i < count; i++) {
    const at = (k: number) => 2 * ((i + k + count) % count)
    const [p0, p1, p2, p3] = [at(-1), at(0), at(1), at(2)]
    const [t0, t1, t2] = [knot(points, p0, p1), knot(points, p1, p2), knot(points, p2, p3)]
    for (let c = 0; c < 2; c++) {
      const [a, b, d, e] = [p0, p1, p2, p3].map((p) => points[p + c] as number) as [
        number,
        number,
        number,
        number,
      ]
      const first = spline ? t1 * ((b - a) / t0 - (d - a) / (t0 + t1)) + d - b : d - b
      const last = spline ? d - b - t1 * ((e - b) / (t1 + t2) - (e - d) / t2) : d - b
      out.set([b], 8 * i + c)
      out.set([b + first / 3], 8 * i + 2 + c)
      out.set([d - last / 3], 8 * i + 4 + c)
      out.set([d], 8 * i + 6 + c)
    }
  }
  return out
}

function knot(points: Line, a: number, b: number): number {
  const dx = (points[b] as number) - (points[a] as number)
  const dy = (points[b + 1] as number) - (points[a + 1] as number)
  return Math.sqrt(Math.max(Math.sqrt(dx * dx + dy * dy), CLOSEST))
}

/** Pieces that a span needs. */
function piecesOf(spans: Float64Array, i: number): number {
  const b = spans.subarray(8 * i, 8 * i + 8) as unknown as number[]
  const [x0, y0, x1, y1, x2, y2, x3, y3] = b as unknown as [
    ...[number, number, number, number],
    ...[number, number, number, number],
  ]
  const length = (x: number, y: number) => Math.sqrt(x * x + y * y)
  const second = Math.max(
    length(x0 - 2 * x1 + x2, y0 - 2 * y1 + y2),
    length(x1 - 2 * x2 + x3, y1 - 2 * y2 + y3),
  )
  const long = length(x1 - x0, y1 - y0) + length(x2 - x1, y2 - y1) + length(x3 - x2, y3 - y2)
  return Math.max(1, Math.ceil(Math.sqrt((0.75 * second) / TOLERANCE)), Math.ceil(long / LONGEST))
}

/**
 * The same outline at several moments, piece by piece alike: what lies between two moments is between their points.
 *
 * @param moments the points at each, as many everywhere
 */
export function flatten(moments: readonly Line[], spline: boolean): Line[] {
  const spans = moments.map((points) => spansOf(points, spline))
  const count = (moments[0]?.length ?? 0) / 2
  const pieces = Array.from({ length: count }, (_, i) => Math.max(...spans.map((s) => piecesOf(s, i))))
  const total = pieces.reduce((a, b) => a + b, 0)
  return spans.map((span) => {
    const line = new Float64Array(2 * total)
    let at = 0
    pieces.forEach((n, i) => {
      for (let k = 0; k < n; k++) {
        const t = k / n
        const u = 1 - t
        const [w0, w1, w2, w3] = [u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t]
        for (let c = 0; c < 2; c++) {
          const b = 8 * i + c
          line[at++] =
            w0 * (span[b] as number) +
            w1 * (span[b + 2] as number) +
            w2 * (span[b + 4] as number) +
            w3 * (span[b + 6] as number)
        }
      }
    })
    return line
  })
}

/** How far beyond a piece's end, for each pixel of distance, lies what has the end for its nearest point: the sine of the bend. */
export function bendsOf(line: Line): Float64Array {
  const count = line.length / 2
  const at = (i: number) => line[i % line.length] as number
  return Float64Array.from({ length: count }, (_, i) => {
    const k = 2 * i + line.length
    const [ax, ay] = [at(k) - at(k - 2), at(k + 1) - at(k - 1)]
    const [bx, by] = [at(k + 2) - at(k), at(k + 3) - at(k + 1)]
    if (ax * bx + ay * by <= 0) return 1
    return Math.abs(ax * by - ay * bx) / Math.sqrt((ax * ax + ay * ay) * (bx * bx + by * by))
  })
}
