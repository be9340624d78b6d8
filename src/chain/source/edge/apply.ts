/**
 * Edges of a matte moved and made wider or narrower, by pixels along their normals; a ramp stays a ramp.
 *
 *   α′(p) = the greatest t for which D(p, out + (½ − t) · wider) ≥ t
 *
 *   D(p, r)   greatest coverage within r px of p; of r below 0 the least within −r: every level of an edge goes r px outward
 *   out       px outward, negative inward     wider   px from bare to whole more, negative fewer; none becomes narrower than hard
 *
 * What is thinner than twice the way goes when edges move inward. Coverage between pixels is drawn straight.
 *
 * Source: dilation and erosion of a picture of greys by a disc, common practice [serra1982].
 */
import { grown } from '../key/masks.js'

export interface EdgeWays {
  /** px */
  readonly out: number
  /** px */
  readonly wider: number
}

/** How much a way may be too short because it is not looked in all directions, px. */
const SHORT = 0.03
const TURNS = 12

interface Field {
  readonly width: number
  readonly height: number
  readonly alpha: Float32Array
}

export function withEdges(
  alpha: Float32Array,
  size: { readonly width: number; readonly height: number },
  { out, wider }: EdgeWays,
): Float32Array {
  if (out === 0 && wider === 0) return alpha
  const field = { ...size, alpha }
  const near = grown(edgesOf(field), size, Math.ceil(Math.abs(out) + Math.abs(wider) / 2) + 1)
  const reaches = new Reaches(field)
  const made = alpha.slice()
  for (let p = 0; p < alpha.length; p++) {
    if (near[p] === 0) continue
    const at = (t: number) => reaches.at(p, out + (0.5 - t) * wider)
    made[p] = wider === 0 ? at(0.5) : solved(at, wider)
  }
  return made
}

/** The greatest t with at(t) ≥ t, 0 and 1 exactly where nothing, or all, is there. */
function solved(at: (t: number) => number, wider: number): number {
  let [low, high] = [0, 1]
  if (wider < 0) {
    // Where it would become narrower than hard more than one t fits: the side of the middle decides.
    if (at(0.5) >= 0.5) low = 0.5
    else high = 0.5
  }
  if (high === 1 && at(1) >= 1) return 1
  if (low === 0 && at(0) <= 0) return 0
  for (let k = 0; k < TURNS; k++) {
    const t = (low + high) / 2
    if (at(t) >= t) low = t
    else high = t
  }
  return (low + high) / 2
}

/** Pixels that are partly covered, or whole beside bare. */
function edgesOf({ width, height, alpha }: Field): Uint8Array {
  const out = new Uint8Array(alpha.length)
  for (let y = 0, p = 0; y < height; y++)
    for (let x = 0; x < width; x++, p++) {
      const a = alpha[p] as number
      const right = x < width - 1 && alpha[p + 1] !== a
      const below = y < height - 1 && alpha[p + width] !== a
      if ((a > 0 && a < 1) || right || below) out[p] = 1
    }
  return out
}

/** Rings about a pixel, one apart, so dense that none of a straight edge's ways is cut short. */
class Reaches {
  readonly #field: Field
  readonly #turns = new Map<number, Float64Array>()

  constructor(field: Field) {
    this.#field = field
  }

  /** D(p, r). */
  at(p: number, r: number): number {
    const { width, alpha } = this.#field
    const [x, y, far] = [p % width, Math.floor(p / width), Math.abs(r)]
    let best = alpha[p] as number
    for (let ring = far; ring > 0; ring -= 1) {
      const turns = this.#directions(ring)
      for (let k = 0; k < turns.length; k += 2) {
        const v = between(this.#field, x + ring * (turns[k] as number), y + ring * (turns[k + 1] as number))
        best = r > 0 ? Math.max(best, v) : Math.min(best, v)
      }
    }
    return best
  }

  /** Unit vectors, evenly about. */
  #directions(radius: number): Float64Array {
    // r · (1 − cos(π / n)) ≤ SHORT, and cos x ≥ 1 − x² / 2.
    const count = 8 * Math.max(Math.ceil(Math.sqrt(radius / (2 * SHORT)) * (Math.PI / 8)), 1)
    const made = this.#turns.get(count) ?? directions(count)
    this.#turns.set(count, made)
    return made
  }
}

/** By the circle's rational points, ((1 − t²) / (1 + t²), 2t / (1 + t²)) over an eighth of it: the same bits everywhere. */
function directions(count: number): Float64Array {
  const out = new Float64Array(2 * count)
  const eighth = count / 8
  for (let k = 0; k < eighth; k++) {
    const t = ((Math.SQRT2 - 1) * k) / eighth
    let [x, y] = [(1 - t * t) / (1 + t * t), (2 * t) / (1 + t * t)]
    for (let turn = 0; turn < 8; turn++) {
      out[2 * (turn * eighth + k)] = x
      out[2 * (turn * eighth + k) + 1] = y
      ;[x, y] = [Math.SQRT1_2 * (x - y), Math.SQRT1_2 * (x + y)]
    }
  }
  return out
}

/** Coverage between pixels, held at the border. */
function between({ width, height, alpha }: Field, x: number, y: number): number {
  const [u, v] = [Math.min(Math.max(x, 0), width - 1), Math.min(Math.max(y, 0), height - 1)]
  const [i, j] = [Math.floor(u), Math.floor(v)]
  const [a, b] = [u - i, v - j]
  const p = j * width + i
  const [right, below] = [a > 0 ? 1 : 0, b > 0 ? width : 0]
  return (
    (1 - b) * ((1 - a) * alpha[p]! + a * alpha[p + right]!) +
    b * ((1 - a) * alpha[p + below]! + a * alpha[p + below + right]!)
  )
}
